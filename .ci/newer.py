"""Print what an index has that the constraints do not name: newer.py REPORT CONSTRAINTS."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path


def normal(name: str) -> str:
    """A project's name as indexes compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


report, constraints = (Path(name).read_text(encoding="utf-8") for name in sys.argv[1:])
kept = [line.partition("==") for line in constraints.splitlines() if "==" in line]
known = {normal(name): version for name, _, version in kept}
for one in json.loads(report)["install"]:
    name, version = normal(one["metadata"]["name"]), one["metadata"]["version"]
    if name != "prepkit" and known.get(name) != version:
        print(f"{name} {version} (was {known.get(name, 'not there')})")
