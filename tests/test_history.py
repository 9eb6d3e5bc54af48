"""Versions of a recipe: kept whole, compared in words and figures, and back without a loss."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

import pytest
from cli.asking import call
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from prepkit import files, history
from prepkit.errors import BadInput, FileProblem
from prepkit.page.recipe_folder import RecipeFolder

RECIPE = """title = "Trial"
serves = 10

[items.sour]
calculator = "blend"
part = ["500 g lemon juice", "500 g simple syrup 50 Bx"]

[[serve]]
name = "Trial"
part = ["60 g sour", "40 ml gin 43 %"]
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "trial.toml"
    path.write_text(RECIPE)
    return path


def test_a_version_is_kept_with_note_tasting_and_who(file: Path) -> None:
    assert history.listed(file) == []
    assert history.seen(file) is None
    first = history.keep(file, note=' as first "served" ', who="AB")
    assert first.new
    file.write_text(RECIPE.replace("500 g lemon", "550 g lemon"))
    assert history.seen(file) is None
    second = history.keep(file, tasting="7 of 12: too sweet", who="J.R.").version
    found = history.listed(file)
    assert [(one.number, one.who, one.note, one.tasting) for one in found] == [
        (1, "AB", 'as first "served"', ""),
        (2, "J.R.", "", "7 of 12: too sweet"),
    ]
    assert history.seen(file) == second
    assert history.text_of(file, 1) == RECIPE


def test_the_same_text_is_kept_again_only_where_something_is_said(file: Path) -> None:
    first = history.keep(file, note="one").version
    assert history.keep(file) == (first, False)
    assert history.keep(file, tasting="good").version.number == 2


def test_what_changed_in_words_and_figures(file: Path) -> None:
    after = RECIPE.replace("500 g lemon", "560 g lemon")
    found = history.between(RECIPE, after, file)
    lines = found.lines()
    assert lines[0] == "items.sour.part: 500 g lemon juice -> 560 g lemon juice"
    # acidity of the pantry's lemon juice by mass: 500 of 1000 g to 560 of 1060 g
    acidity = next(one for one in found.figures if (one.of, one.name) == ("sour", "acidity"))
    assert acidity.before is not None
    assert acidity.after is not None
    assert acidity.after / acidity.before == pytest.approx((560 / 1060) / (500 / 1000), rel=1e-3)
    assert f"sour: acidity {acidity.before:.2f} -> {acidity.after:.2f} %" in lines
    assert any(line.startswith('serve "Trial": acidity') for line in lines)
    assert not [one for one in found.figures if one.name == "one weighs"]  # a serve is as it was


def test_comments_alone_change_nothing_and_what_cannot_be_planned_is_said(file: Path) -> None:
    same = history.between(RECIPE, f"# said\n{RECIPE}", file)
    assert same.lines() == ["the same, apart from comments and layout"]
    wrong = history.between(RECIPE, RECIPE.replace("lemon juice", "lemmon juise"), file)
    assert wrong.words
    assert wrong.figures == ()
    assert wrong.problems[0].startswith("this one cannot be planned: ")


def test_lists_orders_and_long_values(file: Path) -> None:
    turned = RECIPE.replace(
        '["500 g lemon juice", "500 g simple syrup 50 Bx"]',
        '["500 g simple syrup 50 Bx", "500 g lemon juice"]',
    )
    (word,) = history.words_between(RECIPE, turned, file)
    assert word.before == "500 g lemon juice, 500 g simple syrup 50 Bx"
    more = RECIPE.replace('"500 g lemon juice", ', '"500 g lemon juice", "1 g table salt", ')
    assert [one.text() for one in history.words_between(RECIPE, more, file)] == [
        "items.sour.part: added, 1 g table salt"
    ]
    notes = [f'note = "{"stir well and " * 9}{end}"\n' for end in ("strain", "press")]
    (word,) = history.words_between(notes[0] + RECIPE, notes[1] + RECIPE, file)
    assert word.text().endswith("strain -> ...stir well and press")


def test_back_loses_nothing(file: Path) -> None:
    history.keep(file, note="one")
    unsaved = RECIPE.replace("serves = 10", "serves = 12")
    file.write_text(unsaved)
    now = history.back_to(file, 1, who="AB")
    assert file.read_text() == RECIPE
    assert [one.note for one in history.listed(file)] == [
        "one", "as it was before going back to version 1", "back to version 1",
    ]  # fmt: skip
    assert history.seen(file) == now
    history.back_to(file, 2, note="rather")
    assert file.read_text() == unsaved


def test_two_who_keep_at_the_same_moment(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = files.write

    def slow(path: Path, text: str, *, over: bool) -> None:
        monkeypatch.setattr(files, "write", real)
        history.keep(file, note="the other")  # between looking for a number and taking it
        real(path, text, over=over)

    monkeypatch.setattr(files, "write", slow)
    history.keep(file, note="mine")
    assert [one.note for one in history.listed(file)] == ["the other", "mine"]


@pytest.mark.parametrize("crash_at", [1, 2, 3])
def test_a_crash_while_going_back_leaves_every_text(
    file: Path, monkeypatch: pytest.MonkeyPatch, crash_at: int
) -> None:
    history.keep(file, note="one")
    unsaved = RECIPE.replace("serves = 10", "serves = 12")
    file.write_text(unsaved)
    real, calls = files.write, 0

    def crash(path: Path, text: str, *, over: bool) -> None:
        nonlocal calls
        calls += 1
        if calls == crash_at:
            raise OSError(28, "No space left on device")
        real(path, text, over=over)

    monkeypatch.setattr(files, "write", crash)
    with pytest.raises(FileProblem, match="No space left"):
        history.back_to(file, 1)
    texts = {history.text_of(file, one.number) for one in history.listed(file)}
    assert {RECIPE, unsaved} <= texts | {file.read_text()}


def test_a_damaged_version_is_named_and_never_taken(file: Path) -> None:
    history.keep(file, note="one")
    stored = history.folder_of(file) / "0001.toml"
    whole = stored.read_text()
    for wrong in (
        whole.replace("lemon", "lime"),
        whole.replace("number = 1", "number = 2"),
        whole.replace("# at = ", "# ay = "),
        whole.replace("# ---\n", ""),
        "",
    ):
        stored.write_text(wrong)
        with pytest.raises(FileProblem, match="damaged or was edited"):
            history.text_of(file, 1)
    stored.write_bytes(b"\xff\xfe")
    with pytest.raises(FileProblem, match="damaged"):
        history.listed(file)
    (history.folder_of(file) / "notes.txt").write_text("not ours")
    stored.unlink()
    assert history.listed(file) == []


@pytest.mark.parametrize("who", ["John Smith", "ABCDEFG", "4", "a\nb", "<b>", "A B C D"])
def test_initials_only(file: Path, who: str) -> None:
    with pytest.raises(BadInput, match="initials"):
        history.keep(file, note="x", who=who)
    assert history.listed(file) == []


@pytest.mark.parametrize("note", ["a\nb", "\x1b[31m", "x" * 301])
def test_notes_are_one_line(file: Path, note: str) -> None:
    with pytest.raises(BadInput, match="note"):
        history.keep(file, note=note)


def test_a_link_is_no_place_for_versions(file: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (tmp_path / "history").symlink_to(elsewhere)
    with pytest.raises(FileProblem, match="link to another place"):
        history.keep(file, note="x")
    assert list(elsewhere.iterdir()) == []


def test_versions_are_no_recipes_of_the_page(file: Path) -> None:
    history.keep(file, note="x")
    assert [one.name for one in RecipeFolder(file.parent).entries()] == ["trial"]


class Kept(RuleBasedStateMachine):
    """Whatever is edited, kept and gone back to: every text that was ever kept is there."""

    @initialize(folder=st.just(None))
    def begin(self, folder: None) -> None:
        self.folder = Path(tempfile.mkdtemp())
        self.file = self.folder / "trial.toml"
        self.file.write_text(RECIPE)
        self.texts: list[str] = []

    @rule(
        serves=st.integers(1, 5), ending=st.sampled_from(["", "\n# x", "\r\n# y\r\n", "\n# ---\n"])
    )
    def edit(self, serves: int, ending: str) -> None:
        text = RECIPE.replace("serves = 10", f"serves = {serves}") + ending
        self.file.write_bytes(text.encode())

    @rule(note=st.sampled_from(["", "more", '"quoted" \\ ü']))
    def keep(self, note: str) -> None:
        kept = history.keep(self.file, note=note)
        if kept.new:
            self.texts.append(self.file.read_bytes().decode())

    @rule(at=st.integers(0, 30))
    def back(self, at: int) -> None:
        if self.texts:
            number = 1 + at % len(self.texts)
            if history.seen(self.file) is None:
                self.texts.append(self.file.read_bytes().decode())
            history.back_to(self.file, number)
            self.texts.append(self.texts[number - 1])
            assert self.file.read_bytes().decode() == self.texts[number - 1]

    @invariant()
    def all_there(self) -> None:
        found = [history.text_of(self.file, one.number) for one in history.listed(self.file)]
        assert found == self.texts

    def teardown(self) -> None:
        shutil.rmtree(self.folder)


TestKept = Kept.TestCase


TestKept.settings = settings(max_examples=15, stateful_step_count=12, deadline=None)


# the command


def test_the_command(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(f"history {file}", capsys)
    assert (code, "no version was kept yet" in out) == (0, True)
    assert call(f'history {file} --note "first" --who AB', capsys)[:2] == (
        0, "trial.toml is kept: version 1.\n",
    )  # fmt: skip
    file.write_text(RECIPE.replace("500 g lemon", "560 g lemon"))
    _, out, _ = call(f"history {file}", capsys)
    assert out.startswith("trial.toml: 1 version; the file was changed since the latest.")
    _, out, _ = call(f"history {file} --compare 1", capsys)
    assert "items.sour.part: 500 g lemon juice -> 560 g lemon juice" in out
    assert call(f"history {file} --tasting better --who AB", capsys)[0] == 0
    _, out, _ = call(f"history {file}", capsys)
    assert "Tasted: better" in out
    assert call(f"history {file} --text 1", capsys)[1] == RECIPE
    _, out, _ = call(f"history {file} --back 1 --who AB --json", capsys)
    assert '"number": 3' in out
    assert file.read_text() == RECIPE
    _, out, _ = call(f"history {file} --compare 1,2 --json", capsys)
    assert '"problems": []' in out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("--text 3", "has no version 3"),
        ("--back x", 'is "x"; write the number of a version'),
        ("--compare 1,2,3", "write the number of a version"),
        ("--who AB", "goes with --note"),
        ("--note a --compare 1", "--note does not go with --compare"),
        ("--tasting a --back 1", "--tasting does not go with --back"),
    ],
)
def test_bad_words(file: Path, words: str, said: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(f"history {file} {words}", capsys)
    assert code in (2, 4)
    assert out == ""
    assert said in err
    assert history.listed(file) == []
