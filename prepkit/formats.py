"""The versions of what prepkit reads and prints for other programs, and the schemas of it.

A version goes up by one when something that a program could rely on changes its name, its meaning
or is taken away; what is only added leaves it.
"""

from __future__ import annotations

VERSIONS = {
    "answer": 1,  # --json of a calculator
    "error": 1,  # --json of what was refused
    "label": 2,  # label --json; 2: name is the title, item the id
    "plan": 2,  # plan --json; 2: what is said at length moved from action to more
    "recipe": 1,  # recipe files
    "house": 1,  # house files
    "readings": 1,  # files of what was measured
    "tasting": 1,  # tasting files, and tasting --json
    "batch": 2,  # files of what was done of a batch; 1 were ticks, named by a number of serves
    "drill": 1,  # drill --format json, and the answers that it marks
}
