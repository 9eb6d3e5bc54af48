"""Traps: what a real mistake gives, each a small pure function with its name and its words.

A trap's arguments are numbers of the question or of the answer; which ones is said in the data of
the question. The result is in the unit of the answer, or a verdict where a verdict is asked for.
"""

from prepkit.drill.mistakes import TRAPS, Trap
from prepkit.drill.traps import gases, mixtures

__all__ = ["TRAPS", "Trap", "gases", "mixtures"]
