"""Marks that travel with a mixture into every later work, whatever it is mixed with."""

from __future__ import annotations

GASSY = "gassy"  # holds gas of its own: sparkling drinks (data/pantry)
FERMENTING = "fermenting"  # makes gas as it stands (data/pantry)
CARBONATE = "carbonate"  # gives gas with acid (data/pantry)
SETS_COLD = "sets-cold"  # a gelling agent that sets as it cools (data/pantry)
SETS_HOT = "sets-hot"  # one that sets as it is heated (data/pantry)
SOLID_FAT = "solid-fat"  # a fat that is solid in a cool room (data/pantry)
