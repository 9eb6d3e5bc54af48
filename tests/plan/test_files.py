"""A recipe's text changed in places: what was meant, and every other row as it was."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.plan.files import Add, AsText, Change, Set, TableDrop, changed

DEMO = Path(__file__).parents[2] / "recipes"
RECIPES = ("cold-semaphore", "free-otter", "warm-brasswick")
TEXTS = {name: (DEMO / f"{name}.toml").read_text("utf-8") for name in RECIPES}
WORDS = st.one_of(
    st.text(max_size=12), st.integers(0, 99), st.booleans(),
    st.lists(st.text(max_size=40), max_size=4), st.sampled_from(['a "b" # c', "x = 1", "[a]"]),
)  # fmt: skip


@st.composite
def changes(draw: Any) -> tuple[str, Change]:
    """A demo recipe and one change of it."""
    text = TEXTS[draw(st.sampled_from(sorted(TEXTS)))]
    tables = tomllib.loads(text)
    items = sorted(tables["items"])
    id_ = draw(st.sampled_from(items))
    kind = draw(st.sampled_from(["set", "new key", "top", "add", "serve", "drop", "part of serve"]))
    if kind == "set":
        plain = [key for key, value in tables["items"][id_].items() if key != "step"]
        value = draw(st.one_of(st.none(), WORDS))
        return text, Set(("items", id_), draw(st.sampled_from(plain)), value)
    if kind == "new key":
        return text, Set(("items", id_), "a new key", draw(WORDS))
    if kind == "top":
        return text, Set((), draw(st.sampled_from(["title", "serves", "note"])), draw(WORDS))
    if kind == "add":
        holds = {"calculator": "blend", "part": draw(WORDS)}
        return text, Add(("items", "quite-new"), False, holds)
    if kind == "serve":
        return text, Add(("serve",), True, {"name": "Another", "part": draw(WORDS)})
    if kind == "drop":
        return text, TableDrop(("items", id_))
    return text, Set(("serve", 0), "part", draw(WORDS))


@given(changes())
@settings(max_examples=60, deadline=None)
def test_a_change_is_what_was_meant_and_leaves_all_other_rows(asked: tuple[str, Change]) -> None:
    text, change = asked
    found = changed(text, [change])  # which reads it again: what was meant, or refused
    before, after = text.splitlines(), found.splitlines()
    lost = [row for row in before if row.strip() and row not in after]
    if isinstance(change, Add):
        assert lost == []
    elif isinstance(change, Set):
        assert not [row for row in lost if row.lstrip().startswith("#")]
        rows = tomllib.loads("\n".join(lost)) if lost else {}
        assert set(rows) <= {change.key}
    else:
        assert changed(found, []) == found
        assert not [row for row in lost if row.startswith("[") and str(change.path[-1]) not in row]


def test_a_comment_behind_a_value_stays() -> None:
    text = 'a = "1 # 2"  # why\nb = [\n  1, # one\n]\n'
    assert changed(text, [Set((), "a", "3")]) == 'a = "3"  # why\nb = [\n  1, # one\n]\n'
    assert changed(text, [Set((), "b", None)]) == 'a = "1 # 2"  # why\n'


def test_an_item_goes_behind_the_last_item_and_before_the_serves() -> None:
    text = TEXTS["free-otter"]
    found = changed(text, [Add(("items", "last-one"), False, {"calculator": "blend"})])
    assert found.index("[items.last-one]") < found.index("[[serve]]")
    assert list(tomllib.loads(found)["items"])[-1] == "last-one"


def test_the_first_item_and_the_first_serve_of_an_empty_recipe() -> None:
    text = 'title = "x"\nserves = 2\n'
    made = changed(
        text,
        [
            Add(("items", "a"), False, {"calculator": "blend", "part": ["1 g salt"]}),
            Add(("serve",), True, {"name": "x", "part": ["1 g a"]}),
            Set((), "note", "stir"),
        ],
    )
    assert made == (
        'title = "x"\nserves = 2\nnote = "stir"\n\n[items.a]\ncalculator = "blend"\n'
        'part = ["1 g salt"]\n\n[[serve]]\nname = "x"\npart = ["1 g a"]\n'
    )
    assert "[[serve]]" not in changed(made, [TableDrop(("serve", 0))])


@pytest.mark.parametrize(
    ("text", "change"),
    [
        ("items = {a = {x = 1}}\n", Set(("items", "a"), "x", 2)),
        ("items.a.x = 1\n", TableDrop(("items", "a"))),
        ("[items]\na = {x = 1}\n", Set(("items", "a"), "y", 2)),
        ("[items.a]\nx = 1\n", Add(("items", "a"), False, {})),
        ("x = 1\n", Set(("items", "a"), "x", 2)),
    ],
)
def test_what_cannot_be_changed_in_place_is_refused(text: str, change: Change) -> None:
    with pytest.raises(AsText):
        changed(text, [change])


def test_a_long_text_is_read_a_few_times_and_not_once_for_each_row(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Work grows with the length of the text, whatever value is long in it."""
    rows = [f'  "row {one} # ] = {{",' for one in range(3_000)]
    head, tail = ['title = "x"', "[items.a]"], ["b = 1", ""]
    texts = [
        [*head, "note = [", *rows, "]  # end", *tail],
        [*head, 'note = """', *(one.replace('"', "'") for one in rows), '"""', *tail],
        [*head, *(f"k{one} = 1" for one in range(3_000)), "note = 1", *tail],
    ]
    read = [0]
    loads = tomllib.loads

    def counted(text: str) -> dict[str, Any]:
        read[0] += len(text)
        return loads(text)

    monkeypatch.setattr(tomllib, "loads", counted)
    for one in texts:
        text = "\n".join(one)
        for change in (Set(("items", "a"), "note", "x"), Set(("items", "a"), "new", 2)):
            read[0] = 0
            assert loads(changed(text, [change]))["items"]["a"]["b"] == 1
            assert read[0] <= 4 * len(text)
