"""The pictures of the README, made again: python tests/page/pictures.py."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
FOLDER = Path(__file__).parent / "pictures"
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]


def main() -> None:
    """A load that must not be made, on a phone; a cordial, at a desk."""
    from page import browsing

    why = browsing.missing()
    if why:
        raise SystemExit(why)
    FOLDER.mkdir(exist_ok=True)
    shots = {
        "siphon-on-a-phone": (
            browsing.example("siphon", chargers="2"),
            {"viewport": {"width": 360, "height": 700}, "color_scheme": "dark"},
        ),
        "cordial-at-a-desk": (
            browsing.example("cordial"),
            {"viewport": {"width": 1120, "height": 700}, "color_scheme": "light"},
        ),
    }
    options = ("--recipes", "recipes", "--house", "recipes/house")
    with browsing.served(*options) as at, browsing.chromium() as browser:
        for name, (path, chosen) in shots.items():
            with browsing.opened(browser, **chosen) as page:
                page.goto(at + path)
                page.screenshot(path=FOLDER / f"{name}.png")
                print(FOLDER / f"{name}.png", (FOLDER / f"{name}.png").stat().st_size, "bytes")


if __name__ == "__main__":
    main()
