"""All measurements in one run: python tests/bench [runs]. Ratios, not seconds; not in the gate."""

from __future__ import annotations

import sys

import inside
import startup


def main() -> None:
    """Start-up of whole processes, what it is made of, then the work inside one process."""
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    startup.main(runs)
    inside.main()


if __name__ == "__main__":
    main()
