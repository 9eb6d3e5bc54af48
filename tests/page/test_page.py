"""The real server: twenty people at once for a moment, and what is not even HTTP."""

from __future__ import annotations

import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from bench.page_load import load
from deep import TIMES
from page.browsing import served, started

from prepkit.cli import main
from prepkit.page import app, guard


@pytest.fixture(scope="module")
def at() -> Iterator[str]:
    """Where the page is served."""
    with served() as address:
        yield address


def test_twenty_people_meet_no_error(at: str) -> None:
    """How fast it is, `tests/bench/page_load.py` measures; here the machine is busy with tests."""
    seconds = 1.0 if TIMES == 1 else 3.0
    told = load(at, seconds, 20, 0.3)
    assert len(told) >= 20 * seconds
    assert [status for _, status in told if status not in (200, 302, 422)] == []


def sent(at: str, raw: bytes) -> bytes:
    """What the server answers to bytes as they are."""
    place = urlsplit(at)
    with socket.create_connection((place.hostname, place.port), timeout=20) as line:
        answer = b""
        with suppress(OSError):  # a server that has refused may hang up at once
            line.sendall(raw)
            line.shutdown(socket.SHUT_WR)
        with suppress(ConnectionError):
            while part := line.recv(65536):
                answer += part
    return answer


@pytest.mark.parametrize(
    ("raw", "status"),
    [
        (b"nonsense\r\n\r\n", b"400"),
        (b"GET / HTTP/1.1\r\nHost: evil.example\r\n\r\n", b"400"),
        (b"GET / HTTP/1.1\r\n\r\n", b"400"),
        (b"GET /?a=" + b"x" * 40000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n", b"431"),
        (b"GET http://evil.example/ HTTP/1.1\r\nHost: evil.example\r\n\r\n", b"400"),
        (
            b"POST /pass HTTP/1.1\r\nHost: localhost\r\nContent-Length: %d\r\n\r\n"
            % (4 * guard.MOST_BYTES),
            b"413",
        ),
    ],
)
def test_what_is_no_request_of_ours_is_refused(at: str, raw: bytes, status: bytes) -> None:
    answer = sent(at, raw)
    assert answer.split(b" ")[1:2] in ([status], [])
    assert b"Traceback" not in answer
    assert b"dissolved" not in answer
    good = sent(at, b"GET / HTTP/1.0\r\nHost: localhost\r\n\r\n")
    assert good.split(b" ")[1] == b"200"


def test_connections_that_stay_half_open_hold_nobody_up(at: str) -> None:
    place = urlsplit(at)
    half = (
        b"POST /join/bcdfgh HTTP/1.1\r\nHost: localhost\r\nContent-Length: 900\r\n\r\nname=",
        b"GET /in/x HTTP/1.1\r\nHost: loc",
        b"POST /join/paper HTTP/1.1\r\nHost: localhost\r\nContent-Length: 90\r\n\r\npick=4",
        b"POST /tasting/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: 900\r\n\r\nglass=",
        b"GET /ladder/?part=1+l+water",
        b"",
    )
    lines = [socket.create_connection((place.hostname, place.port), timeout=20) for _ in range(30)]
    try:
        for number, line in enumerate(lines):
            line.sendall(half[number % len(half)])
        good = sent(at, b"GET /cautions HTTP/1.0\r\nHost: localhost\r\n\r\n")
        assert good.split(b" ")[1] == b"200"
    finally:
        for line in lines:
            line.close()


def refused(*options: str) -> str:
    """The one sentence of a page that does not start, from a process of its own."""
    command = [sys.executable, "-m", "prepkit", "page", *options]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode in (2, 4), done
    assert done.stdout == ""
    assert done.stderr.count("\n") == 1
    return done.stderr


def test_what_cannot_be_started_is_one_sentence(at: str) -> None:
    port = str(urlsplit(at).port)
    assert f"port {port} is taken" in refused("--port", port)


def never(server: object) -> None:
    """In place of serving: what was to be refused would run for ever."""
    raise AssertionError(server)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--host", "nowhere.invalid"), "no address of a machine"),
        (("--host", "192.0.2.1"), "no address of this machine"),
        (("--recipes", "nowhere"), "no folder"),
        (("--house", "pyproject.toml"), "no folder"),
        (("--write",), "--recipes"),
        (("--house", "tests"), "house.toml"),
    ],
)
def test_each_wrong_option_is_one_sentence(
    options: tuple[str, ...],
    said: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr(app, "serve", never)
    with pytest.raises(SystemExit) as ended:
        main(["page", *options])
    assert ended.value.code in (2, 4)
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.count("\n") == 1
    assert said in told.err


def test_stock_alone_can_be_written_where_the_house_keeps_a_ledger(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    served: list[object] = []
    monkeypatch.setattr(app, "serve", served.append)
    monkeypatch.setattr(app, "listening", lambda chosen: chosen)
    house = tmp_path / "house.toml"
    for text, works in (('currency = "EUR"\n', False), ('[stock]\nledger = "h.db"\n', True)):
        house.write_text(text, encoding="utf-8")
        with pytest.raises(SystemExit):
            main(["page", "--write", "--house", str(tmp_path)])
        told = capsys.readouterr()
        assert bool(served) == works
        assert ("stock of the house can be counted" in told.out) == works
        assert ("a house whose file names a ledger" in told.err) != works


def test_another_address_asks_for_the_phrase_that_is_printed() -> None:
    with started(3, "--host", "0.0.0.0") as (at, lines):
        assert f"http://{socket.gethostname()}:" in lines[0]
        assert "Warning" in lines[1]
        assert len(lines[2].rpartition(": ")[2].split()) == 6
        answer = sent(at, b"GET / HTTP/1.0\r\nHost: 127.0.0.1\r\n\r\n")
        assert answer.split(b" ")[1] == b"302"
        assert b"/pass" in answer
