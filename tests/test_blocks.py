"""The lines that the package's data is read from: those of the TOML files, or an error."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from prepkit import blocks, hazard_names
from prepkit.errors import FileProblem

MAKE = "run: python -m prepkit.blocks"
TABLES = """# a remark
plain = "of the file"
[key]
text = 'a "quoted" \\ text' # :
[key.below]
number = 1
[[row]]
name = "lemon, \\"big\\""
value = 1.0
whole = 1
also = [true, -0.0, 1e-30, "é\\u2028"]
[[row.below]]
name = "first"
[[other]]
name = "row"
[[row]]
name = "other"
lemon = "\\n"
"""


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A small folder of data, with the lines made of it."""
    here = Path(blocks.DATA)
    (tmp_path / "cautions").mkdir()
    shutil.copy(here / "air_limits.toml", tmp_path)
    shutil.copy(here / "cautions/blend.toml", tmp_path / "cautions")
    shutil.copy(here / "refused.toml", tmp_path)
    shutil.copytree(here / "hazard_names", tmp_path / "hazard_names")
    (tmp_path / "a.toml").write_text(TABLES, encoding="utf-8")
    monkeypatch.setattr(blocks, "DATA", str(tmp_path))
    blocks.main()
    yield tmp_path
    monkeypatch.undo()
    blocks.forget()


def test_every_table_is_read_as_toml_gives_it() -> None:
    every = tuple(blocks._every())
    assert tuple(blocks._head().files) == every, MAKE
    for path in every:
        if not path.startswith("cautions/"):  # kept as rows: tests/test_cautions.py
            given = tomllib.loads(blocks.read(path))
            assert repr(blocks.document(path)) == repr(given), f"{path}: {MAKE}"


def test_tables_come_back_by_header_by_key_and_by_what_they_hold(data: Path) -> None:
    given = tomllib.loads(TABLES)
    assert repr(blocks.document("a.toml")) == repr(given)
    assert repr(list(blocks.blocks("a.toml", "row"))) == repr(given["row"])
    assert list(blocks.blocks("a.toml", "row", 'lemon, "big"')) == given["row"][:1]
    assert list(blocks.blocks("a.toml", "row", "first")) == given["row"][:1]
    assert list(blocks.blocks("a.toml", "row", "\n")) == given["row"][1:]
    assert not list(blocks.blocks("a.toml", "row", "lemon"))  # a key, no value
    assert blocks.table("a.toml", "key") == given["key"]
    assert (blocks.table("a.toml", "row"), blocks.keys("a.toml")) == (None, ("key",))
    assert blocks.words("a.toml", "name") == {'lemon, "big"', "first", "row", "other"}
    assert blocks.words("a.toml", "also") == {"é\u2028"}
    assert blocks.form() == (data / blocks.FORM).read_bytes()


@pytest.mark.usefixtures("data")
def test_without_the_scanner_the_json_package_reads_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "_json", None)
    blocks._decode.cache_clear()
    try:
        blocks.forget()
        assert repr(blocks.document("a.toml")) == repr(tomllib.loads(TABLES))
    finally:
        blocks._decode.cache_clear()


def test_lines_that_are_not_those_of_the_files_are_an_error(data: Path) -> None:
    file, form = data / "a.toml", data / blocks.FORM
    made, text = form.read_bytes(), file.read_bytes()

    def refused(said: str) -> None:
        blocks.forget()
        with pytest.raises(FileProblem, match=said):
            blocks.document("a.toml")
        with pytest.raises(FileProblem):
            list(blocks.blocks("a.toml", "row", "nowhere"))

    file.write_bytes(text.replace(b"1e-30", b"2e-30"))
    refused(r"a\.toml is not the file")
    file.unlink()
    refused("cannot be read")
    file.write_bytes(text)
    for broken in (
        made.replace(b"1e-30", b"2e-30"), made.replace(b'"a.toml"', b'"b.toml"'),
        made.partition(b"first")[0], b"<<<<<<<\n" + made, b"", made.partition(b"\n")[2],
    ):  # fmt: skip
        form.write_bytes(broken)
        refused("as it was written")
    form.unlink()
    refused(r"tables\.txt cannot be read")
    form.write_bytes(made)
    (data / "new.toml").write_text("a = 1", encoding="utf-8")
    blocks.forget()
    with pytest.raises(FileProblem, match=r"other files than there are \(new\.toml"):
        blocks.names(".")
    with pytest.raises(FileProblem, match=r"new\.toml is not the file"):
        blocks.document("new.toml")
    (data / "new.toml").unlink()
    with (data / "refused.toml").open("a", encoding="utf-8") as refused_names:
        refused_names.write("# more\n")
    blocks.forget()
    with pytest.raises(FileProblem, match=r"refused\.toml is not the file"):
        hazard_names._index.__wrapped__()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("day = 2026-11-29", "Write it as text"), ("at = 12:00:00", "Write it as text"),
        ("x = nan", "Write it as text"), ("x = [inf]", "Write it as text"),
        ("x = ", "cannot be read"), ('"a]b" = 1', "Take letters"),
    ],
)  # fmt: skip
def test_what_the_lines_cannot_hold_is_refused_when_they_are_made(
    data: Path, text: str, said: str
) -> None:
    (data / "a.toml").write_text(text, encoding="utf-8")
    with pytest.raises(FileProblem, match=said):
        blocks.main()


def test_an_answer_reads_no_toml() -> None:
    code = (
        "import sys; from prepkit import registry\n"
        "registry.run('blend', {'part': ['1 l water']})\n"
        "assert 'tomllib' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)
