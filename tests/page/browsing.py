"""A real browser on a real page: the command in a process of its own, the system's Chromium."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from prepkit.index import CALCULATORS
from prepkit.page import forms

ROOT = Path(__file__).parents[2]
CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser") if (found := shutil.which(name))), None
)
AXE = "4.14.1"  # a check that changes under us would be no check
PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 900}


def missing() -> str:
    """Why there is no browser here; "" where there is one."""
    try:
        import playwright.sync_api  # noqa: F401 - looked for, not used
    except ImportError:
        return "playwright is not installed: pip install -e '.[test]'"
    return "" if CHROMIUM else "no Chromium on this machine: apt-get install chromium"


@contextmanager
def served(*options: str) -> Iterator[str]:
    """The page, served by its own command; its address."""
    with started(1, *options) as (address, _):
        yield address


@contextmanager
def started(lines: int, *options: str) -> Iterator[tuple[str, list[str]]]:
    """The page's address, and the first lines that its command prints."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "prepkit", "page", "--port", str(port), *options]
    env = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=env, cwd=ROOT
    ) as process:
        try:
            assert process.stdout is not None
            told = [process.stdout.readline() for _ in range(lines)]
            assert f":{port}/" in told[0], told
            yield f"http://127.0.0.1:{port}", told
        finally:
            process.terminate()


@contextmanager
def chromium() -> Iterator[Any]:
    """The system's Chromium without a window."""
    from playwright.sync_api import sync_playwright

    flags = [
        "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
        "--disable-background-networking", "--disable-component-update", "--disable-sync",
    ]  # fmt: skip
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=CHROMIUM, args=flags)
        try:
            yield started
        finally:
            started.close()


@contextmanager
def opened(browser: Any, **chosen: Any) -> Iterator[Any]:
    """A window of its own; what its console complains of is an error."""
    context = browser.new_context(**{"viewport": DESK, **chosen})
    page = context.new_page()
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on(
        "console",
        lambda said: (
            complaints.append(said.text)
            if said.type in ("error", "warning") and "status of 4" not in said.text
            else None
        ),
    )
    try:
        yield page
    finally:
        context.close()
    assert complaints == [], complaints


def example(name: str, **changed: Any) -> str:
    """The address of a calculator's example."""
    return f"/make/{name}?{urlencode(forms.query({**forms.example(name), **changed}))}"


def screens() -> dict[str, str]:
    """Every kind of screen by a name: forms, answers, errors, words, sheets."""
    found = {"home": "/", "words": "/words", "one word": "/words?q=cream+35+%25"}
    found |= {"sheets": "/cautions", "a sheet": "/cautions/pressure", "nothing": "/none"}
    found |= {f"form {name}": f"/make/{name}" for name in CALCULATORS}
    found |= {f"answer {name}": example(name) for name in CALCULATORS}
    found["stop"] = example("siphon", chargers="2")
    found["errors"] = "/make/siphon?temperature=90&chargers=x&gas=argon&rated=17+bananas"
    found["everything open"] = example("siphon", warmest="300 C")
    return found


def axe() -> tuple[str, str]:
    """The script of axe-core, fetched once by npm into a cache; or why it cannot be had."""
    cache = Path(os.environ.get("XDG_CACHE_HOME", Path.home() / ".cache")) / "prepkit-tests"
    kept = cache / f"axe-{AXE}.min.js"
    if kept.exists():
        return kept.read_text(encoding="utf-8"), ""
    npm = shutil.which("npm")
    if npm is None:
        return "", "npm is not installed, so axe-core cannot be fetched"
    with tempfile.TemporaryDirectory() as folder:
        command = [npm, "install", "--silent", "--ignore-scripts", "--no-audit", "--no-fund",
                   "--prefix", folder, f"axe-core@{AXE}"]  # fmt: skip
        try:
            subprocess.run(command, check=True, capture_output=True, timeout=120)
            script = Path(folder, "node_modules", "axe-core", "axe.min.js").read_text("utf-8")
        except (OSError, subprocess.SubprocessError) as error:
            return "", f"axe-core {AXE} could not be fetched by npm: {error}"
    with suppress(OSError):
        cache.mkdir(parents=True, exist_ok=True)
        part = kept.with_suffix(f".{os.getpid()}")
        part.write_text(script, encoding="utf-8")
        part.replace(kept)
    return script, ""
