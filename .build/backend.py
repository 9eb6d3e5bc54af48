"""How prepkit is built: setuptools, and beside the package what travels with it.

SAFETY.md and recipes/ are written once, at the root; an installed prepkit finds its copy of them in
prepkit/data/shipped. A source archive holds the tests too, and all that they read. Everything else
that a build needs stands in pyproject.toml.
"""

from pathlib import Path

from setuptools.build_meta import *  # noqa: F403  # the hooks of a build, as they are
from setuptools.command.build_py import build_py
from setuptools.command.sdist import sdist

ROOT = Path(__file__).parent.parent
SHIPPED = ("SAFETY.md", *(str(one.relative_to(ROOT)) for one in ROOT.glob("recipes/**/*.toml")))
MANIFEST = """\
graft prepkit
graft tests
graft recipes
graft .ci
graft .build
include SAFETY.md DEVELOPERS.md
prune tests/.hypothesis
global-exclude __pycache__ *.py[cod]
"""


class WithShipped(build_py):
    """The package's modules and data, and what is shipped with them."""

    def run(self) -> None:
        """Build as ever, then copy; a build in place reads the root and needs no copy."""
        super().run()
        if self.editable_mode:
            return
        for name in SHIPPED:
            target = Path(self.build_lib, "prepkit", "data", "shipped", name)
            self.mkpath(str(target.parent))
            self.copy_file(str(ROOT / name), str(target), preserve_mode=False)

    def get_source_files(self) -> list[str]:
        """The files that a source archive must hold."""
        return [*super().get_source_files(), *SHIPPED]


class WithTests(sdist):
    """The source archive with everything that its tests read."""

    def run(self) -> None:
        """Build with a list of what to hold, which is there for as long as that takes."""
        listed = ROOT / "MANIFEST.in"
        listed.write_text(MANIFEST, encoding="utf-8")
        try:
            super().run()
        finally:
            listed.unlink()
