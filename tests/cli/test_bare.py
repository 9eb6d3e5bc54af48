"""Every command with no words and with --help: help is whole, and no command ends by accident."""

from __future__ import annotations

import io
from collections.abc import Iterator

import click
import pytest
from cli.asking import call

from prepkit.cli import Command, cli
from prepkit.index import CALCULATORS, WORKFLOWS

SERVES_ON = "page"  # without words it serves until it is stopped


def commands() -> Iterator[tuple[str, click.Command]]:
    """Every command and subcommand by its words."""
    yield "", cli
    for name in (*CALCULATORS, *WORKFLOWS):
        found = cli.get_command(click.Context(cli), name)
        assert found is not None
        yield name, found
        if isinstance(found, click.Group):
            inner = click.Context(found)
            for other in found.list_commands(inner):
                one = found.get_command(inner, other)
                assert one is not None
                yield f"{name} {other}", one


ALL = dict(commands())
GROUPS = {words for words, one in ALL.items() if isinstance(one, click.Group)}


@pytest.mark.parametrize("words", ALL)
def test_help_is_whole(words: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(f"{words} --help", capsys)
    assert (code, err) == (0, "")
    assert out.startswith(f"Usage: prepkit {words}".rstrip())
    last = "." if words in GROUPS else ("exit.", "given.")  # of its commands, of its options
    assert out.rstrip("\n").endswith(last)
    assert "\\n" not in out
    assert "..." not in out.partition("\n")[2]  # nothing is cut off


@pytest.mark.parametrize("words", [one for one in ALL if one != SERVES_ON])
def test_no_words(
    words: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(""))
    code, out, err = call(words, capsys)
    said = out + err
    assert "\\n" not in said
    assert "Traceback" not in said
    if words in GROUPS:  # its help; the exit status is that of click
        assert code in (0, 2)
        assert said.startswith(f"Usage: prepkit {words}".rstrip())
        assert len(said.splitlines()) > 20
    elif code == 2:
        assert err.startswith("prepkit: ")
        assert err.count("\n") == 1
    else:
        assert code in (0, 3)
        assert out


@pytest.mark.parametrize("words", ALL)
def test_every_command_prints_by_the_one_writer(words: str) -> None:
    assert isinstance(ALL[words], Command)
