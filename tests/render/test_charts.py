"""The picture of a siphon load: well-formed, complete in words, never drawn past what is known."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

from prepkit import run
from prepkit.render.charts import course, line_svg, pressure

CREAM: dict[str, Any] = {
    "contents": "500 ml cream 35 %",
    "vessel_volume": "0.78 l",
    "max_fill": "0.5 l",
    "rated": "17 bar",
    "gas": "n2o",
    "chargers": 1,
    "temperature": "5 C",
    "mode": "dispense",
    "portion_size": "50 ml",
}
SVG = "{http://www.w3.org/2000/svg}"


def test_picture_follows_the_answer() -> None:
    answer = run("siphon", CREAM)
    points = course(answer)
    assert [label for label, _ in points[:3]] == ["charge 1", "shaken", "portion 1"]
    assert points[0][1] == answer.values["peak"].value
    assert points[1][1] == answer.values["settled"].value
    assert points[-1][1] == answer.values["last_pressure"].value
    drawn = pressure(answer)
    assert drawn is not None
    root = ElementTree.fromstring(line_svg(drawn, "pressure"))
    assert root.tag == f"{SVG}svg"
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text is not None
    assert "Rated 17 bar" in title.text
    assert len(root.findall(f"{SVG}circle")) == len(points)


def test_shaken_between_is_drawn_as_such() -> None:
    shaken = course(run("siphon", {**CREAM, "shake_between": True}))
    assert shaken[-1][1] > course(run("siphon", CREAM))[-1][1]


def test_a_stop_shows_the_peak_over_the_line_and_nothing_after() -> None:
    answer = run("siphon", {**CREAM, "chargers": 2})
    assert answer.verdict == "stop"
    assert [label for label, _ in course(answer)] == ["peak"]
    assert pressure(answer) is not None


def test_nothing_is_drawn_without_facts() -> None:
    said = {name: value for name, value in CREAM.items() if name != "rated"}
    assert pressure(run("siphon", said)) is None
    assert pressure(run("siphon", {**CREAM, "contents": "745 ml water"})) is None
