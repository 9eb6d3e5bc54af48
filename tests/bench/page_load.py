"""Twenty people on the page at once: python tests/bench/page_load.py [seconds] [people] [pause].

The page is served by its own command in a process of its own, on loopback; each person is a thread
with one kept connection who asks for one address after another from all kinds of screens, with a
pause between (seconds, drawn evenly from half to one and a half times it; 0 asks without rest).
Prints requests, errors, and the times from asking to the last byte. Not part of the gate.
"""

from __future__ import annotations

import http.client
import random
import statistics
import sys
import threading
import time
from pathlib import Path
from urllib.parse import urlencode, urlsplit

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]


def addresses() -> list[str]:
    """Home, every form, every calculator's example with its JSON and card, and errors."""
    from prepkit.index import CALCULATORS
    from prepkit.page import forms

    found = ["/", "/words", "/cautions/pressure", "/make/siphon?temperature=90"]
    for name in CALCULATORS:
        query = urlencode(forms.query(forms.example(name)))
        found += [f"/make/{name}", f"/make/{name}?{query}", f"/make/{name}.json?{query}"]
        found.append(f"/make/{name}/card?{query}")
    return found


def person(
    at: str, asked: list[str], until: float, pause: float, seed: int,
    told: list[tuple[float, int | str]],
) -> None:  # fmt: skip
    """One person: (seconds, status or the error) for each request."""
    chance = random.Random(seed)
    host, port = urlsplit(at).hostname or "", urlsplit(at).port
    connection = http.client.HTTPConnection(host, port, timeout=30)
    time.sleep(chance.uniform(0, pause))
    while time.monotonic() < until:
        path = chance.choice(asked)
        start = time.perf_counter()
        try:
            connection.request("GET", path)
            answer = connection.getresponse()
            answer.read()
            status: int | str = answer.status
        except (OSError, http.client.HTTPException) as error:
            status = repr(error)
            connection.close()
        told.append((time.perf_counter() - start, status))
        time.sleep(chance.uniform(0.5, 1.5) * pause)
    connection.close()


def load(at: str, seconds: float, people: int, pause: float) -> list[tuple[float, int | str]]:
    """What all of them met with."""
    told: list[tuple[float, int | str]] = []
    asked = addresses()
    for path in asked:  # everything once, so that nothing is imported or compiled while timed
        connection = http.client.HTTPConnection(*urlsplit(at).netloc.split(":"), timeout=60)
        connection.request("GET", path)
        connection.getresponse().read()
        connection.close()
    until = time.monotonic() + seconds
    threads = [
        threading.Thread(target=person, args=(at, asked, until, pause, number, told))
        for number in range(people)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return told


def main() -> None:
    """Measure and print."""
    from page.browsing import served

    given = [float(word) for word in sys.argv[1:]] or [30.0]
    seconds, people, pause = (*given, *(30.0, 20.0, 1.0)[len(given) :])
    options = ("--recipes", "recipes", "--house", "recipes/house")
    with served(*options) as at:
        told = load(at, seconds, int(people), pause)
    times = sorted(1000 * took for took, _ in told)
    errors = [status for _, status in told if status not in (200, 302, 422)]
    print(
        f"{int(people)} people, {seconds:g} s, pause {pause:g} s: {len(told)} requests "
        f"({len(told) / seconds:.0f} /s), {len(errors)} errors {errors[:3] or ''}; "
        f"median {statistics.median(times):.1f} ms, 95 % within "
        f"{times[int(0.95 * len(times))]:.0f} ms, longest {times[-1]:.0f} ms"
    )
    if errors:
        raise SystemExit(1)


if __name__ == "__main__":
    main()
