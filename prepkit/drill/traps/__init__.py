"""Traps: what a real mistake gives, each a small pure function with its name and its words.

A trap's arguments are numbers of the question or of the answer; which ones is said in the data of
the question. The result is in the unit of the answer, or a verdict where a verdict is asked for.
"""

from prepkit.drill.traps import acid, gases, pressure, process, strength, syrup
from prepkit.drill.traps.register import TRAPS, Trap

__all__ = ["TRAPS", "Trap", "acid", "gases", "pressure", "process", "strength", "syrup"]
