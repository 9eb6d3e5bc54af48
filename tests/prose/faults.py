"""What people read in a file of this project, and what is wrong with its words.

Literals of the code with a space in them, docstrings, texts of data files, templates of the page,
and the documents. `python tests/prose/faults.py [part of a path]` prints the faults.
"""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

ROOT = Path(__file__).parents[2]
SENTENCE = 18  # words of a sentence that a user reads
# made, nobody's prose, or the words of calculators once more
NOT_READ = ("tables.txt", "unit_table.py", "rests.toml", "facts.toml")
# what no cook, safety officer or teacher says; a space, a bar or a dot stands for itself
IDIOM = (
    "comes to nothing", "stands against", "what comes of it", "nobody said", "nobody named",
    "in what was given", "reckon", "if most dissolves", "if least dissolves", "left empty",
    "all of it at once: a", "first gas alone", "refractometer shows", "kept by the plants",
    "thickness in the fridge", "ice begins", "to know beside", "more that can be said",
    "to be put right", "not told of", "was not told", "was not said", "was not given",
    "is over what", "it is over", "go on only", "whoever", "unless said", "give or take",
    "anew", "besides", "for want of", "has to go", "nobody asks", "whereof", "thereof", "whence",
    "it hangs on", "hang on", "hangs on", "brought about", "comes to no mass", "of the law",
    "at the least", "at the most", "at the soonest", "at the latest", "stands alone",
    "is no number", "is no date", "is no time", "is no amount", "is no text", "is no component",
    "is no unit", "is no gas", "is no acid", "is no stock", "is no table", "is no toml",
    "is no utf-8", "is no day", "is no weight", "is no temperature", "is no syrup",
    "is no kind", "is no reading", "is no dose", "is no essential oil", "is no drink",
    "so many drops", "the naive way", "it is to ", "are held here", "that is held", "nor anything",
    "wants to be", "is wanted where", "give the option", "as it stands",
)  # fmt: skip
# read by those who use it: not the words of developers
DEVELOPERS = ("DEVELOPERS.md", "/data/sources/")

_FILE = re.compile(r"(?m)^# (?:.*\n)+?\w+ = |^\[[^\n]*\n(?:.*\n)*?\w+ = ")  # not a formula


class Text(NamedTuple):
    """A text, the line it begins on, and whether a user reads it or a developer."""

    line: int
    text: str
    user: bool


def of_python(source: str) -> Iterator[Text]:
    """Docstrings, and literals with a space in them; what is worked out counts as one word."""
    tree = ast.parse(source)
    inside: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0] if node.body else None
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                inside.add(id(first.value))
                yield Text(first.value.lineno, str(first.value.value), False)
        elif isinstance(node, ast.JoinedStr):
            parts = [one if isinstance(one, ast.Constant) else None for one in node.values]
            inside |= {id(one) for one in parts if one}
            yield Text(node.lineno, "".join(str(p.value) if p else "9" for p in parts), True)
    for node in ast.walk(tree):
        read = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if read and id(node) not in inside and " " in node.value.strip():  # type: ignore[attr-defined, operator]  # read says what it is
            yield Text(node.lineno, node.value, True)  # type: ignore[attr-defined, arg-type]  # the same


def of_toml(source: str) -> Iterator[Text]:
    """Every text of a data file that has a space in it."""

    def texts(value: Any) -> Iterator[str]:
        if isinstance(value, str):
            if " " in value:
                yield value
        elif isinstance(value, dict | list):
            for one in value.values() if isinstance(value, dict) else value:
                yield from texts(one)

    for text in texts(tomllib.loads(source)):
        yield Text(source[: source.find(text[:30])].count("\n") + 1, text, True)


def of_html(source: str) -> Iterator[Text]:
    """What is between the marks of a template."""
    bare = re.sub(r"\{#.*?#\}|\{%.*?%\}|<(?:style|script).*?</(?:style|script)>", " ", source,
                  flags=re.DOTALL)  # fmt: skip
    bare = re.sub(r"\{\{.*?\}\}", "9", bare, flags=re.DOTALL)
    for found in re.finditer(r">([^<>]*[a-z]{2}[^<>]*)<", bare):
        line = bare[: found.start()].count("\n") + 1
        yield Text(line, found[1].strip(), True)


def of_markdown(source: str, user: bool) -> Iterator[Text]:
    """The paragraphs of a document, without code and tables."""
    bare = re.sub(r"```.*?```|<!--.*?-->", "", source, flags=re.DOTALL)
    for paragraph in re.split(r"\n\s*\n|\n(?=\s*[-\d])", bare):
        if paragraph.strip() and not paragraph.lstrip().startswith(("|", "#")):
            line = source[: source.find(paragraph[:40])].count("\n") + 1
            yield Text(line, paragraph, user)


def texts(path: Path) -> Iterator[Text]:
    source = path.read_text(encoding="utf-8")
    if path.suffix == ".py":
        yield from of_python(source)
    elif path.suffix == ".toml":
        user = not any(one in path.as_posix() for one in DEVELOPERS)
        yield from (text._replace(user=user) for text in of_toml(source))
    elif path.suffix == ".html":
        yield from of_html(source)
    else:
        yield from of_markdown(source, path.name not in DEVELOPERS)


def typed(text: str) -> bool:
    """Whether a text is words to be typed, or code, not a sentence to be read."""
    return bool(
        re.match(r"prepkit |\(?-?\d|<|\\|\(\?|[\[(]|--", text)
        or text.count("_") * 3 > len(text.split())  # names of facts
        or (re.fullmatch(r"[\w.|, \[\]]*", text) and re.search(r"[\[|]|^\S+( \S+)?$", text))
    )


def faults(one: Text) -> list[str]:
    """What is wrong with a text, in half a sentence each."""
    tidy = " ".join(one.text.split())
    low = tidy.lower()
    found = [f'says "{bad.strip()}"' for bad in IDIOM if re.search(rf"\b{re.escape(bad)}", low)]
    if not one.user or typed(tidy):
        return found
    if _FILE.search(one.text):  # a file to begin with: its comments are read
        one = one._replace(text="\n".join(re.findall(r"(?m)^# ?(.*)$|$", one.text)))
    bare = re.sub(r"(?m)^\s+prepkit .*$|^Examples:$", "", one.text)  # to be typed, not read
    unquoted = re.sub(r'\{"[^{]*\}+|"[^"]*"|`[^`]*`', "9", " ".join(bare.split()))
    if re.search(r"(?:\d|^|\bin|\bthan) C(?![\w/°+])", unquoted):
        found.append("C without its degree")
    for sentence in re.split(r"(?<=[.?!])\s+", unquoted):
        if (words := len(sentence.split())) > SENTENCE:
            found.append(f"a sentence of {words} words")
        if len(re.findall(r"[:;](?=\s)", sentence)) > 1:
            found.append("stacked colons or semicolons")
        if re.match(r"What (?!is\b.*\?$|.*\?$)", sentence):
            found.append("a sentence that begins with What")
    return found


def paths() -> list[str]:
    """The files that are judged; those of the cautions have a test of their own."""
    found = [
        *(p for ext in ("py", "html", "toml") for p in ROOT.glob(f"prepkit/**/*.{ext}")),
        ROOT / "README.md", ROOT / "DEVELOPERS.md",
    ]  # fmt: skip
    names = [p.relative_to(ROOT).as_posix() for p in found if p.name not in NOT_READ]
    return sorted(one for one in names if "/data/cautions/" not in one and "/pantry/" not in one)


def faults_of(name: str) -> list[str]:
    return [
        f"{name}:{one.line}: {said}: {' '.join(one.text.split())[:200]}"
        for one in texts(ROOT / name)
        for said in faults(one)
    ]


def command(which: str) -> None:
    """Print the faults of the files whose path has these letters, and how many there are."""
    counts = {}
    for name in paths():
        if which in name and (found := faults_of(name)):
            counts[name] = len(found)
            print("\n".join(found))
    print(f"{sum(counts.values())} in {len(counts)} files")


if __name__ == "__main__":
    command(" ".join(sys.argv[1:]))
