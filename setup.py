"""Puts what travels with the program beside the data of the installed package.

SAFETY.md and recipes/ are written once, at the root; an installed prepkit finds its copy of them in
prepkit/data/shipped. Everything else that a build needs stands in pyproject.toml.
"""

from pathlib import Path

from setuptools import setup
from setuptools.command.build_py import build_py

ROOT = Path(__file__).parent
SHIPPED = ("SAFETY.md", *(str(one.relative_to(ROOT)) for one in ROOT.glob("recipes/**/*.toml")))


class WithShipped(build_py):
    """The package's modules and data, and what is shipped with them."""

    def run(self) -> None:
        """Build as ever, then copy; a build in place reads the root and needs no copy."""
        super().run()
        if self.editable_mode:
            return
        for name in SHIPPED:
            self.copy_into(name)

    def copy_into(self, name: str) -> None:
        """One file of the root into the folder that the package finds it in."""
        target = Path(self.build_lib, "prepkit", "data", "shipped", name)
        self.mkpath(str(target.parent))
        self.copy_file(str(ROOT / name), str(target), preserve_mode=False)

    def get_source_files(self) -> list[str]:
        """The files that a source distribution must hold."""
        return [*super().get_source_files(), *SHIPPED]


setup(cmdclass={"build_py": WithShipped})
