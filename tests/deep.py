"""One switch for longer runs: PREPKIT_DEEP=20 makes every random test twenty times as long.

Without it the seeds are fixed, so that a run can be repeated; with it the drawn cases are new.
"""

from __future__ import annotations

import os
import random

TIMES = max(1, int(os.environ.get("PREPKIT_DEEP", "1")))


def count(usual: int) -> int:
    """How many random cases to compare where `usual` do in an ordinary run."""
    return usual * TIMES


def seeded(seed: int) -> random.Random:
    """The random numbers of one comparison: from its seed, or new ones in a long run."""
    return random.Random(seed) if TIMES == 1 else random.Random()
