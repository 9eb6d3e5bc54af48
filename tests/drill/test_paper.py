"""Papers: the same seed the same paper, nothing of the key on the sheet, HTML that stands alone."""

from __future__ import annotations

import json
import os
import re
import shlex
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import click
import pytest

from prepkit import cli
from prepkit.cli import main
from prepkit.drill.paper import REMINDER, make_paper
from prepkit.drill.sheet import PAGE, paper_html, paper_text
from prepkit.drill.templates import TOPICS, templates
from prepkit.render.signs import plate_svg

VOID = {"meta", "br", "rect", "line", "circle", "stop", "link", "img", "input", "hr"}


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of one command line."""
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


class Checked(HTMLParser):
    """Every tag is closed in its turn; attributes are kept."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def checked(text: str) -> Checked:
    """The parsed page."""
    parser = Checked()
    parser.feed(text)
    assert parser.open == []
    return parser


# the same seed, the same paper


def test_same_seed_same_paper_whatever_the_hash_seed() -> None:
    code = (
        "import json\n"
        "from prepkit.drill.paper import make_paper\n"
        "from prepkit.drill.templates import TOPICS\n"
        "print(json.dumps([make_paper(t, 5, 11).to_dict(True) for t in TOPICS]))"
    )
    root = str(Path(__file__).parents[2])
    printed = {
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, check=True, timeout=120,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": root},
        ).stdout
        for seed in ("0", "4242")
    }  # fmt: skip
    assert len(printed) == 1
    assert len(json.loads(printed.pop())) == len(TOPICS)


def test_another_seed_another_paper() -> None:
    first, second = (make_paper("siphon", 5, seed).to_dict() for seed in (1, 2))
    assert first["questions"] != second["questions"]


@pytest.mark.parametrize("topic", TOPICS)
def test_a_longer_paper_begins_with_the_shorter(topic: str) -> None:
    short, long = (make_paper(topic, count, 5).to_dict(True) for count in (3, 6))
    assert long["questions"][:3] == short["questions"]
    assert long["key"][:3] == short["key"]


@pytest.mark.parametrize("topic", TOPICS)
def test_no_template_twice_before_each_came_once(topic: str) -> None:
    count = len(templates(topic))
    ids = [one.template.id for one in make_paper(topic, count, 3).questions]
    assert len(set(ids)) == count


@pytest.mark.parametrize("level", [1, 2, 3])
def test_level_is_kept_to(level: int) -> None:
    for topic in TOPICS:
        paper = make_paper(topic, 6, 1, level)
        assert {one.template.level for one in paper.questions} == {level}
        texts = [(one.text, one.plate, one.job) for one in paper.questions]
        assert len({repr(one) for one in texts}) == 6, "no question comes twice"


# sheet and key


def without_case(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("topic", TOPICS)
def test_the_sheet_gives_nothing_of_the_key_away(topic: str) -> None:
    paper = make_paper(topic, 8, 2)
    sheet = without_case(paper_text(paper))
    page = paper_html([paper])
    said = json.dumps(paper.to_dict())
    for question in paper.questions:
        assert without_case(question.text) in sheet
        assert question.template.decides not in said
        for where in (sheet, said, page):
            assert not question.command or question.command not in where
            assert question.template.id not in where
            assert question.taught.id not in where
            for choice in question.choices:
                if choice.trap:
                    assert choice.trap not in where
    assert "key" not in paper.to_dict()
    assert '"key"' not in page


@pytest.mark.parametrize("topic", TOPICS)
def test_the_key_holds_answer_working_lesson_source_and_who_decides(topic: str) -> None:
    paper = make_paper(topic, 8, 2)
    text = paper_text(paper, long_key=True)
    sheet, _, key = text.partition(PAGE)
    assert sheet == paper_text(paper)
    told = without_case(key)
    assert without_case(REMINDER) in told
    blocks = re.split(r"^\d+\. ", key, flags=re.MULTILINE)[1:]
    assert len(blocks) == 8
    for question, block in zip(paper.questions, blocks, strict=True):
        tidy = without_case(block)
        assert tidy.startswith(f"{question.letter}: {question.shown}")
        assert question.taught.id in tidy
        assert all(source in tidy for source in question.sources)
        assert tidy.endswith(f"Who decides: {without_case(question.template.decides)}")
        for step in question.answer.working if question.answer is not None else ():
            assert without_case(step.label) in tidy
        for choice in question.choices:
            if choice.trap:
                assert f"({choice.trap})" in tidy


@pytest.mark.parametrize("topic", TOPICS)
def test_the_short_key_is_one_page_of_one_line_each(topic: str) -> None:
    paper = make_paper(topic, 14, 2)
    _, key = paper_text(paper, key=True).split(PAGE)
    assert len(key.splitlines()) < 26  # so 48 questions fit on a printed page
    rows = re.findall(r"^ +(\d+)  +([A-H])  +(.+)$", key, re.MULTILINE)
    assert [int(number) for number, _, _ in rows] == list(range(1, 15))
    for question, (_, letter, said) in zip(paper.questions, rows, strict=True):
        assert letter == question.letter
        right = question.right if question.kind == "verdict" else question.shown
        assert said.startswith(str(right))


@pytest.mark.parametrize("topic", TOPICS)
def test_the_keys_command_line_gives_the_same_number(
    topic: str, capsys: pytest.CaptureFixture[str]
) -> None:
    for question in make_paper(topic, 6, 9).questions:
        if question.answer is None:
            continue
        words = question.command.removeprefix("prepkit ")
        code, out, err = call(f"{words} --json", capsys)
        assert code in (0, 3), err
        said = json.loads(out)
        assert said["verdict"] == question.answer.verdict
        asked = question.template.answer
        if question.kind == "number" and isinstance(asked, str):
            assert said["values"][asked]["value"] == question.right


def test_mark_sheet_has_a_line_for_each_question() -> None:
    paper = make_paper("siphon", 7, 1)
    sheet = paper_text(paper).partition("Mark sheet")[2]
    assert len(re.findall(r"^\s+\d+\s+[123]\s+____", sheet, re.MULTILINE)) == 7


def test_json_holds_an_empty_answers_file() -> None:
    said = make_paper("acid", 3, 4, 2).to_dict()
    assert said["answer_file"] == {
        "topic": "acid", "seed": 4, "count": 3, "level": 2,
        "answers": {"1": "", "2": "", "3": ""},
    }  # fmt: skip
    json.dumps(said, allow_nan=False)


# html


@pytest.mark.parametrize("topic", TOPICS)
def test_html_is_whole_and_alone(topic: str) -> None:
    page = checked(paper_html([make_paper(topic, 12, 7)], key=True, long_key=True))
    ids = [attrs["id"] for _, attrs in page.seen if "id" in attrs]
    assert len(ids) == len(set(ids))
    for tag, attrs in page.seen:
        assert tag not in ("script", "link", "img", "iframe", "object", "base")
        assert not {"src", "href", "style", "srcset"} & set(attrs), tag
        assert not any(name.startswith("on") for name in attrs)
        for name, value in attrs.items():
            if name == "aria-labelledby":
                assert value in ids
    css = paper_html([make_paper(topic, 1, 7)]).partition("<style>")[2].partition("</style>")[0]
    assert "@import" not in css
    assert "url(" not in css


def test_key_and_mark_sheet_begin_a_page_of_their_own() -> None:
    text = paper_html([make_paper("siphon", 3, 7)], long_key=True)
    assert re.search(r"\.page \{[^}]*break-before: page", text)
    assert text.count('<section class="page') == 2
    assert '<section class="page key"' in text
    assert '<section class="page key"' not in paper_html([make_paper("siphon", 3, 7)])


def test_words_are_escaped() -> None:
    lines = [("head", '<script>"x"</script> & co')]
    svg = plate_svg(lines)
    assert "<script>" not in svg
    assert "&lt;script&gt;" in svg
    page = paper_html([make_paper("cryogen", 3, 7)], long_key=True)
    assert "<script" not in page
    # a shell line of the key has quotes; they are written as text
    assert "&#39;" in page


def test_plate_is_drawn_and_told_in_words() -> None:
    paper = make_paper("siphon", 63, 7)
    page = paper_html([paper])
    faults = [one for one in paper.questions if one.kind == "fault"]
    assert len(faults) >= 10
    assert page.count("<svg ") - page.count('<svg class="sign ') == len(faults)
    assert len(set(re.findall(r'linearGradient id="([^"]+)"', page))) == len(faults)
    sheet = paper_text(paper)
    for question in faults:
        for label, value in question.plate:
            assert f"{label}: {value}" in page.replace("&#39;", "'")  # the picture's title
            assert f"<dt>{label}</dt><dd>{value}</dd>" in page
            assert re.search(rf"{re.escape(label)} +{re.escape(value)}", sheet)


def test_worn_line_shows_no_value() -> None:
    svg = plate_svg([("working pressure", "worn away, cannot be read")])
    drawn = re.sub(r"<title>.*?</title>", "", svg)
    assert "WORKING PRESSURE" in drawn
    assert "cannot be read" not in drawn
    checked(svg)


# the command


@pytest.mark.parametrize("shape", ["text", "json", "html"])
def test_command_prints_each_format(shape: str, capsys: pytest.CaptureFixture[str]) -> None:
    words = f"drill --topic strength --count 2 --seed 3 --format {shape}"
    code, out, err = call(words, capsys)
    assert (code, err) == (0, "")
    assert out
    assert out == call(words, capsys)[1]


@pytest.mark.parametrize(
    ("words", "because"),
    [
        ("drill", "--topic"),
        ("drill --topic beer", "siphon"),
        ("drill --topic siphon --count 0", "from 1 to 100"),
        ("drill --topic siphon --count 101", "from 1 to 100"),
        ("drill --topic siphon --level 4", "from 1 to 3"),
        (
            "drill --topic siphon --seed 1.5",
            '--seed is "1.5"; it must be a whole number from 0 to ',
        ),
        ("drill --topic siphon --format pdf", "html"),
        ("drill --check a.json --topic siphon", "goes alone"),
        ("drill --check a.json --key", "goes alone"),
        ("drill --check a.json --format html", "text or json"),
        ("drill --check a.json --names 3", "goes alone"),
        ("drill --topic room --names 0", "1 to 60"),
        ("drill --topic room --names 61", "1 to 60"),
        ("drill --topic room --names ,", "names nobody"),
        ("drill --topic room --names Bo,bo", "twice"),
        ("drill --topic room --pass-mark 5", "goes with --check"),
    ],
)
def test_bad_words_get_one_sentence(
    words: str, because: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(words, capsys)
    assert code == 2
    assert out == ""
    assert err.startswith("prepkit: ")
    assert err.strip().count("\n") == 0
    assert because in err


NUMBERS = ("nan", "1.5", "abc", "", "-1", "1e2", "+1", "inf", "９", "1" * 40, "0x1")


def test_every_whole_number_is_asked_for_in_our_words(capsys: pytest.CaptureFixture[str]) -> None:
    """Each such option of drill, lesson and page: the value, what would be right, one sentence."""
    for name in ("drill", "lesson", "page"):
        command = cli.cli.get_command(click.Context(cli.cli), name)
        assert command is not None
        for option in (one for one in command.params if isinstance(one.type, click.IntRange)):
            for said in NUMBERS:
                code, out, err = call(f"{name} {option.opts[0]} '{said}'", capsys)
                wanted = f'prepkit: {option.opts[0]} is "{said[:40]}"; it must be a whole number '
                assert (code, out) == (2, ""), (name, said)
                assert err.startswith(f"{wanted}from {option.type.min} to {option.type.max}."), err
                assert err.strip().count("\n") == 0


def test_out_never_writes_over_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "paper.html"
    words = f"drill --topic acid --count 1 --format html --out {target}"
    assert call(words, capsys)[0] == 0
    first = target.read_text(encoding="utf-8")
    assert first.startswith("<!doctype html>")
    target.write_text("kept", encoding="utf-8")
    code, _, err = call(words, capsys)
    assert code == 4
    assert err.strip().count("\n") == 0
    assert target.read_text(encoding="utf-8") == "kept"
    assert call(f"{words} --force", capsys)[0] == 0
    assert target.read_text(encoding="utf-8") == first
    assert [one.name for one in tmp_path.iterdir()] == ["paper.html"]
    assert call(f"drill --topic acid --count 1 --out {tmp_path}/no/such/place.txt", capsys)[0] == 4


def test_every_question_of_a_long_paper_can_be_printed() -> None:
    long: Any = make_paper("siphon", 50, 21)
    assert [one.number for one in long.questions] == list(range(1, 51))
    assert paper_text(long, key=True)
