"""Reads an HTML document into a tree, strictly: what is opened is closed, in order."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "br", "link", "img", "input", "hr"}


@dataclass
class Node:
    """An element, with its text pieces and children in order."""

    tag: str
    attributes: dict[str, str]
    inside: list[Node | str] = field(default_factory=list)

    def all(self, tag: str = "", **having: str) -> Iterator[Node]:
        """Every element below, in order, by tag, and by attribute (`class_` means a word of it)."""
        for one in self.inside:
            if isinstance(one, str):
                continue
            if (not tag or one.tag == tag) and all(one.has(k, v) for k, v in having.items()):
                yield one
            yield from one.all(tag, **having)

    def has(self, name: str, value: str) -> bool:
        """Whether an attribute has a value."""
        if name == "class_":
            return value in self.attributes.get("class", "").split()
        return self.attributes.get(name.replace("_", "-")) == value

    def first(self, tag: str = "", **having: str) -> Node:
        """The first of `all`."""
        return next(self.all(tag, **having))

    @property
    def text(self) -> str:
        """All text below, blanks joined; styles are no text."""
        return " ".join("".join(self._pieces()).split())

    def _pieces(self) -> Iterator[str]:
        for one in self.inside:
            if isinstance(one, str):
                yield one
            elif one.tag not in ("style", "title", "desc"):
                yield from one._pieces()
                yield "" if one.tag in ("b", "span", "code", "time", "i") else " "


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.root = Node("document", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"<{tag}> has an attribute twice: {names}"
        node = Node(tag, {name: value or "" for name, value in attrs})
        self.open[-1].inside.append(node)
        if tag not in VOID:
            self.open.append(node)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open[-1].inside.append(Node(tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].tag == tag, f"</{tag}> closes <{self.open[-1].tag}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].inside.append(data)


def read(text: str) -> Node:
    """The tree of a document; AssertionError where its tags are not in order."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    assert len(reader.open) == 1, f"never closed: {[one.tag for one in reader.open[1:]]}"
    return reader.root


def assert_stands_alone(text: str) -> None:
    """Nothing outside is asked for, and nothing runs."""
    for node in read(text).all():
        outside = [*node.attributes.values()]
        outside += [str(one) for one in node.inside] if node.tag == "style" else []
        for words in outside:
            assert not re.search(r"https?:|//www|@import|url\(|javascript:", words, re.I), words
        assert node.tag not in {
            "script", "iframe", "object", "embed", "form", "input", "link", "img", "base",
        }  # fmt: skip
        for name, value in node.attributes.items():
            assert not name.startswith("on"), f"<{node.tag} {name}>"
            assert name not in ("src", "srcset", "data", "action", "poster", "style")
            if name == "href":
                assert value.startswith("#")


def assert_reads_well(text: str) -> None:
    """What a screen reader needs: language, landmarks, headings in order, tables with heads."""
    root = read(text)
    assert text.startswith("<!doctype html>")
    assert root.first("html").attributes["lang"] == "en"
    assert root.first("title").inside
    assert len(list(root.all("main"))) == 1
    levels = [int(one.tag[1]) for one in root.all() if one.tag in ("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in itertools.pairwise(levels)), levels
    ids = [one.attributes["id"] for one in root.all() if "id" in one.attributes]
    assert len(ids) == len(set(ids))
    for one in root.all():
        for name in ("aria-labelledby", "aria-describedby"):
            assert set(one.attributes.get(name, "").split()) <= set(ids)
        if one.tag == "a":
            assert one.attributes["href"][1:] in ids
    for table in root.all("table"):
        assert table.first("caption").text
        assert all(one.attributes.get("scope") in ("col", "row") for one in table.all("th"))
        heads = len(list(table.first("thead").all("th")))
        for row in table.first("tbody").all("tr"):
            assert len(row.inside) - sum(isinstance(one, str) for one in row.inside) == heads
    for svg in root.all("svg"):
        if svg.has("aria_hidden", "true"):  # the words beside it say the same
            continue
        assert svg.attributes["role"] == "img"
        assert svg.first("title").inside
        assert svg.first("desc").inside


def close(shown: str, value: float, limit: str = "") -> bool:
    """Whether a shown number is the value, rounded at the digits that are shown.

    A limit is rounded to its strict side: "most" never up, "least" never down.
    """
    digits = len(shown.partition(".")[2])
    if limit:
        short = value - float(shown) if limit == "most" else float(shown) - value
        return -1e-9 * max(1.0, abs(value)) <= short < 10**-digits
    return abs(float(shown) - value) <= 0.5 * 10**-digits + 1e-9 * max(1.0, abs(value))


def named(node: Node) -> bool:
    """Whether a row is that of a value with a name."""
    return "data-name" in node.attributes
