"""prepkit history: the versions of a recipe, what changed between them, back to any of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from prepkit.cli import Command, FileName, house_option
from prepkit.errors import BadInput, FileProblem, named
from prepkit.stdout import put_exact, put_text

if TYPE_CHECKING:
    from prepkit.history import Differences, Version, Word

_SHORT = "The versions of a recipe: keep one with a note, compare, go back."
_MOST = 3  # changes of a version that the list shows


@click.command(
    cls=Command,
    name="history",
    help=f"{_SHORT}\n\nEach version is a file of its own in the folder history beside the recipe, "
    "and is never edited. With a note the file is kept as a new version; without words the "
    "versions are listed, latest first.\n\n\b\nExamples:\n"
    '  prepkit history recipes/FILE.toml --note "more acid" --who AB\n'
    '  prepkit history recipes/FILE.toml --tasting "7 of 12 found it too sweet" --who AB\n'
    "  prepkit history recipes/FILE.toml\n"
    "  prepkit history recipes/FILE.toml --compare 2,5\n"
    "  prepkit history recipes/FILE.toml --text 2\n"
    "  prepkit history recipes/FILE.toml --back 2 --who AB",
    short_help=_SHORT,
)
@click.argument("file", required=False, type=FileName())
@click.option("--note", metavar="WORDS", help="Keep the file as a new version: what changed, why.")
@click.option("--tasting", metavar="WORDS", help="Keep it with what a tasting found.")
@click.option("--who", metavar="INITIALS", help="Who says so, such as AB.")
@click.option(
    "--compare",
    metavar="N[,N]",
    help="Changes from one version to another, or to the file as it is now.",
)
@click.option("--text", metavar="N", help="Print the text of a version.")
@click.option("--back", metavar="N", help="Make the file what this version was.")
@click.option("--json", "as_json", is_flag=True, help="Print versions or changes as JSON.")
def command(
    file: str | None,
    note: str | None,
    tasting: str | None,
    who: str | None,
    compare: str | None,
    text: str | None,
    back: str | None,
    as_json: bool,
    house: str | None,
) -> None:
    """Keep, list, compare, print or go back."""
    from prepkit import history

    path = _path(file)
    words = [name for name, said in (("note", note), ("tasting", tasting)) if said is not None]
    asked = [*words[:1], *(n for n, v in (("compare", compare), ("text", text)) if v is not None)]
    asked += ["back"] if back is not None and "note" not in words else []
    if len(asked) > 1:
        raise BadInput(
            f"{named(asked[0])} does not go with {named(asked[1])}; give one of them.", asked[1]
        )
    if who is not None and not words and back is None:
        raise BadInput(
            f"{named('who')} goes with {named('note')}, {named('tasting')} or {named('back')}; "
            f"add one of them.",
            "who",
        )
    if text is not None:
        put_exact(history.text_of(path, _number("text", text)))
    elif compare is not None:
        _put_differences(path, compare, house, as_json)
    elif back is not None:
        version = history.back(path, _number("back", back), who=who or "", note=note or "")
        _put_version(path, version, f"{path.name} is what version {back.strip()} was", as_json)
    elif words:
        kept = history.keep(path, note=note or "", tasting=tasting or "", who=who or "")
        _put_version(path, kept.version, f"{path.name} is kept", as_json)
    else:
        _put_list(path, as_json)


command.params.insert(-1, house_option("Folder of the house file [the folder of the recipe]."))


def _path(file: str | None) -> Path:
    if not file:
        raise BadInput(
            "no recipe file is named; write for example prepkit history my-recipe.toml.", "file"
        )
    path = Path(file)
    if not path.is_file():
        raise FileProblem(f"{file} is no file that can be read; name a recipe file.")
    return path


def _number(option: str, said: str) -> int:
    from prepkit import numbers
    from prepkit.history import MOST_VERSIONS

    number = numbers.whole(said, 1, MOST_VERSIONS)
    if number is None:
        raise BadInput(
            f'{named(option)} is "{said[:40]}"; write the number of a version, such as '
            f"{named(option, '2')}.",
            option,
        )
    return number


def _put_version(path: Path, version: Version, what: str, as_json: bool) -> None:
    if as_json:
        _put_json({"file": str(path), "version": version.to_dict()})
    else:
        put_text(f"{what}: version {version.number}.\n")


def _put_json(said: object) -> None:
    import json

    put_exact(json.dumps(said, indent=2, ensure_ascii=False) + "\n")


# the list


def _put_list(path: Path, as_json: bool) -> None:
    from prepkit import history

    found, now = history.listed(path), history.seen(path)
    if as_json:
        _put_json(
            {
                "file": str(path),
                "now": now.number if now else None,
                "versions": [one.to_dict() for one in found],
            }
        )
        return
    if not found:
        put_text(
            f"{path.name}: no version was kept yet. Keep the first with a note: "
            f'prepkit history {path} --note "as first served"\n'
        )
        return
    count = "1 version" if len(found) == 1 else f"{len(found)} versions"
    state = f"the file is version {now.number}" if now else "the file was changed since the latest"
    out = [f"{path.name}: {count}; {state}."]
    texts = {one.number: history.text_of(path, one.number) for one in found}
    for place in range(len(found) - 1, -1, -1):
        one = found[place]
        out += ["", f"{one.number:>4}  {one.at.astimezone():%Y-%m-%d %H:%M}  {one.who}".rstrip()]
        out += [
            f"      {said}" for said in (one.note, one.tasting and f"Tasted: {one.tasting}") if said
        ]
        if place:
            before = found[place - 1].number
            out += [f"      {line}" for line in _few(path, texts[before], texts[one.number])]
    put_text("\n".join(out) + "\n")


def _few(path: Path, before: str, after: str) -> list[str]:
    """The first changes of a version in words."""
    from prepkit.history import words_between

    found: tuple[Word, ...] = words_between(before, after, path)
    lines = [one.text() for one in found[:_MOST]]
    return lines + ([f"and {len(found) - _MOST} more"] if len(found) > _MOST else [])


# differences


def _put_differences(path: Path, said: str, house: str | None, as_json: bool) -> None:
    from prepkit import history
    from prepkit.history import between
    from prepkit.plan.files import read_text

    first, comma, second = said.partition(",")
    old = _number("compare", first)
    new = _number("compare", second) if comma else None
    names = f"version {old}", f"version {new}" if new else "the file as it is now"
    before = history.text_of(path, old)
    after = history.text_of(path, new) if new else read_text(path)
    found: Differences = between(before, after, path, house=house, names=names)
    if as_json:
        _put_json({"file": str(path), "from": old, "to": new, **found.to_dict()})
    else:
        put_text(
            f"{path.name}: from {names[0]} to {names[1]}\n  " + "\n  ".join(found.lines()) + "\n"
        )
