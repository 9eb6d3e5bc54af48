"""The page's own scripts: small together, and what they share comes before each of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from page import asking

import prepkit

STATIC = Path(prepkit.__file__).parent / "page" / "static"
MOST_BYTES = 29_500


def test_the_scripts_together_are_small() -> None:
    sizes = {one.name: one.stat().st_size for one in STATIC.glob("*.js")}
    assert sizes
    assert sum(sizes.values()) <= MOST_BYTES, sizes


@pytest.mark.parametrize("path", ["/", "/make/siphon", "/cautions/acid", "/in"])
def test_what_scripts_share_is_loaded_before_them(path: str) -> None:
    scripts = [one.attributes for one in asking.tree(asking.browser().get(path)).all("script")]
    assert scripts[0]["src"].startswith("/static/common.js")
    assert all("defer" in one for one in scripts)
