"""A PostgreSQL server of our own for the tests, where the system has one; else why not."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from prepkit.stock import Ledger, open_ledger

ROOT = Path("/usr/lib/postgresql")  # where Debian keeps the programs that a user has no need of


class Server(NamedTuple):
    """A running server, and how to run a program as the one who may start it."""

    programs: Path
    folder: Path
    user: list[str]


def missing() -> str | None:
    """Why no server can be started here; None where one can."""
    if importlib.util.find_spec("psycopg") is None:
        return "psycopg is not installed: pip install 'prepkit[group]'"
    if not list(ROOT.glob("*/bin/initdb")) and shutil.which("initdb") is None:
        return "the system's PostgreSQL is not installed: apt-get install postgresql"
    if os.name != "posix" or (os.geteuid() == 0 and shutil.which("runuser") is None):
        return "PostgreSQL is not started as root, and there is no other user to start it as"
    return None


def programs() -> Path:
    """The folder of initdb and pg_ctl, of the newest release."""
    found = sorted(ROOT.glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    return found[-1].parent if found else Path(shutil.which("initdb") or "").parent


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server of this run alone: in a folder of its own, by a socket of its own."""
    if why := missing():
        pytest.skip(why)
    folder = Path("/tmp") / f"prepkit-pg-{uuid.uuid4().hex[:12]}"  # a socket's path is short
    folder.mkdir()
    user: list[str] = []
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
        user = ["runuser", "-u", "postgres", "--"]
    at, started = programs(), Server(programs(), folder, user)
    try:
        subprocess.run(
            [*user, at / "initdb", "-D", folder / "data", "-A", "trust", "-U", "bar", "-N"],
            check=True, capture_output=True, timeout=60, cwd=folder,
        )  # fmt: skip
        said = f"-c listen_addresses='' -c fsync=off -k {folder}"
        with (folder / "log").open("w") as log:
            subprocess.run(
                [*user, at / "pg_ctl", "-D", folder / "data", "-o", said, "-w", "start"],
                check=True, stdout=log, stderr=log, timeout=60, cwd=folder,
            )  # fmt: skip
        yield started
    finally:
        if (folder / "data" / "postmaster.pid").exists():
            subprocess.run(
                [*user, at / "pg_ctl", "-D", folder / "data", "-m", "immediate", "stop"],
                check=False, capture_output=True, timeout=60, cwd=folder,
            )  # fmt: skip
        shutil.rmtree(folder, ignore_errors=True)


def fresh(server: Server) -> str:
    """The address of an empty ledger on a server."""
    import psycopg

    name = f"l{uuid.uuid4().hex}"
    address = f"postgresql://bar@/postgres?host={server.folder}"
    with psycopg.connect(address, autocommit=True) as database:
        database.execute(f"CREATE SCHEMA {name}")
    return f"{address}&options=-csearch_path%3D{name}"


@pytest.fixture(params=["sqlite", "postgresql"])
def a_place(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[[], str]]:
    """Places for new ledgers, of each engine in turn."""
    if request.param == "postgresql":
        started: Server = request.getfixturevalue("server")
        yield lambda: fresh(started)
        return
    memory = Path("/dev/shm")  # a disk would only make it slower
    folder = memory / f"prepkit-{uuid.uuid4().hex}" if memory.is_dir() else tmp_path / "ledgers"
    folder.mkdir()
    yield lambda: str(folder / f"{uuid.uuid4().hex}.db")
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def ledger(a_place: Callable[[], str]) -> Iterator[Ledger]:
    """A new ledger, of each engine in turn."""
    with open_ledger(a_place(), create=True) as opened:
        yield opened
