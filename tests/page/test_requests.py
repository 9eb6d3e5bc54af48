"""Bad input of every kind, markup in every field, what is carried, colours that can be read."""

from __future__ import annotations

import itertools
import re
import time
from pathlib import Path
from urllib.parse import quote

import pytest
from deep import TIMES
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page import asking
from render.page_reader import Node, read

import prepkit
from prepkit import registry
from prepkit.index import CALCULATORS
from prepkit.page import forms, requests
from prepkit.pantry import Pantry

STYLE = (Path(prepkit.__file__).parent / "page" / "static" / "style.css").read_text()
MARKUP = """"'><script>alert(1)</script><img src=x onerror=alert(1)>{{7*7}}${7}"""
SPECS = [(name, key) for name in CALCULATORS for key in forms.inputs(name)]
# one wrong word for each kind of field, and what has to be said of it
WRONG = [
    ("siphon", "temperature", "warm", "does not start with a number"),
    ("siphon", "temperature", "90", "between -5 and 70 C"),
    ("siphon", "temperature", "5 bananas", "not a unit known here"),
    ("siphon", "temperature", "5 bar", "a temperature is needed"),
    ("siphon", "temperature", "nan", "not a finite number"),
    ("siphon", "temperature", "1e999", "too large"),
    ("siphon", "rated", "1,500 mbar", "could be 1.5 or 1500"),
    ("siphon", "chargers", "1.5", "must be a whole number"),
    ("siphon", "chargers", "0", "between 1 and 12"),
    ("siphon", "chargers", "2 chargers", "write a bare number"),
    ("siphon", "gas", "helium", "must be one of n2o, co2, n2"),
    ("siphon", "mode", "chekc", "did you mean check?"),
    ("siphon", "contents", "500 ml", "names no ingredient"),
    ("siphon", "contents", "2 oz cream 35 %", "weight or fluid?"),
    ("siphon", "contents", "500 ml unobtainium", "o ingredient \"unobtainium\""),
    ("siphon", "purged", "perhaps", "write yes or no"),
    ("siphon", "allowed_gas", "neon", "neon"),
    ("siphon", "target_volumes", "x", "does not start with a number"),
    ("cordial", "sweeten", "white sugr", "white sugar"),
    ("cordial", "brix", "45 % vol", "is needed"),
    ("acid-solution", "strength", "6 %", "per cent of what?"),
    ("room", "release", "a lot", "a lot"),
    ("keep", "made", "yesterday", "2026-11-25"),
    ("layer", "layer", "cream", "names 1 layer"),
]  # fmt: skip


def wrong_at(page: Node, key: str) -> str:
    """The sentence at a field; it is tied to its control."""
    field = asking.by_id(page, f"field-{key}")
    problem = asking.by_id(page, f"in-{key}-problem")
    assert problem in list(field.all())
    described = [one for one in field.all() if "aria-describedby" in one.attributes]
    assert any(f"in-{key}-problem" in one.attributes["aria-describedby"] for one in described)
    summary = page.first(class_="problems")
    assert summary.attributes["role"] == "alert"
    assert f"#in-{key}" in {one.attributes["href"] for one in summary.all("a")}
    asking.by_id(page, f"in-{key}")
    return problem.text


@pytest.mark.parametrize(("name", "key", "words", "told"), WRONG)
def test_a_wrong_word_is_told_at_its_field_and_kept(
    name: str, key: str, words: str, told: str
) -> None:
    spec = forms.inputs(name)[key]
    said = {**forms.example(name), key: [words] if spec.kind in forms.MANY else words}
    if spec.units and words.isdigit():
        said[f"{key}.unit"] = spec.units[0]  # as the form sends it
    browser = asking.browser()
    answer = browser.get(asking.address(name, said))
    assert answer.status_code == 422
    page = asking.tree(answer)
    sentence = wrong_at(page, key)
    assert told in sentence
    assert "--" not in sentence
    assert sentence[0].isupper() or sentence[0] in "“0123456789p"
    if spec.kind not in ("choice", "flag"):
        field = asking.by_id(page, f"in-{key}")
        assert field.attributes["value"] == words
        assert field.attributes["aria-invalid"] == "true"
    assert not list(page.all(class_="verdict"))
    kept = next(iter(forms.example(name).items()))
    if kept[0] != key:
        shown = [one.attributes["value"] for one in page.all("input", name=kept[0])]
        typed = kept[1] if isinstance(kept[1], list) else [kept[1]]
        units = "|".join(map(re.escape, forms.inputs(name)[kept[0]].units))
        assert shown[: len(typed)] == [re.sub(f" ({units})$", "", one) for one in typed]
    problems = browser.get(asking.address(name, said, ".json"))
    assert problems.status_code == 422
    assert problems.json["problems"]


@pytest.mark.parametrize("name", CALCULATORS)
def test_all_that_is_missing_is_told_at_once(name: str) -> None:
    answer = asking.browser().get(f"/make/{name}?.go=1")
    needed = [key for key, spec in forms.inputs(name).items() if spec.required]
    page = asking.tree(answer)
    if not needed:
        assert answer.status_code in (200, 422)
        return
    assert answer.status_code == 422
    for key in needed:
        assert "needed" in wrong_at(page, key)


def test_a_field_given_twice_or_unknown_is_told() -> None:
    browser = asking.browser()
    base = asking.address("siphon", forms.example("siphon"))
    twice = asking.tree(browser.get(f"{base}&rated=18+bar"))
    assert "given 2 times" in wrong_at(twice, "rated")
    unknown = browser.get(f"{base}&ratedd=18+bar")
    assert unknown.status_code == 422
    assert "did you mean “Rated" in unknown.text or "rated" in unknown.text


def test_a_field_of_several_takes_both_and_a_plain_one_neither() -> None:
    load = "vessel_volume=0.78+l&max_fill=0.5+l&rated=17+bar&chargers=1&temperature=5+C"
    both = asking.browser().get(
        f"/make/siphon.json?contents=250+ml+cream+35+%25&contents=250+ml+cream+35+%25&gas=n2o&{load}"
    )
    once = asking.browser().get(f"/make/siphon.json?contents=500+ml+cream+35+%25&gas=n2o&{load}")
    assert both.get_json()["values"] == once.get_json()["values"]
    twice = asking.browser().get(f"/make/siphon.json?contents=5+ml+water&gas=n2o&gas=co2&{load}")
    assert twice.status_code == 422
    assert "given 2 times" in twice.get_json()["problems"]["gas"]


def test_what_belongs_to_no_field_is_still_told() -> None:
    answer = asking.browser().get("/make/blend?part=1+kg+water&free=spirit+40+%25")
    assert answer.status_code in (200, 302, 422)
    nothing = asking.browser().get("/make/keep?.go=1")
    assert nothing.status_code in (200, 422)


def test_an_unknown_name_is_answered_with_the_nearest() -> None:
    for of in ("", ".json", "/card", "/label"):
        answer = asking.browser().get(f"/make/siphn{of}")
        assert answer.status_code == 404
        assert "siphon" in answer.text


# markup


def own_alone(page: Node, but: str = "") -> None:
    """That a page, or a part of one, holds the page's own scripts and nothing else that runs."""
    for script in page.all("script"):
        assert not but
        assert script.attributes["src"].startswith("/static/")
        assert not script.inside
    assert not list(page.all("img"))
    assert not [name for one in page.all() for name in one.attributes if name.startswith("on")]


def marked(name: str, said: dict[str, object]) -> Node:
    """The page of a calculator asked with markup, where it has stayed text."""
    answer = asking.browser().get(asking.address(name, said), follow_redirects=True)
    assert answer.status_code in (200, 422)
    page = asking.tree(answer)  # strict: markup that came through would not be in order
    own_alone(page)
    parts = asking.browser().get(asking.address(name, said, "/answer.json"))
    assert parts.mimetype == "application/json"
    for part in ("top", "rest", "hold", "foot"):
        own_alone(read(parts.json.get(part, "")), "no script")
    assert "49" not in page.first("title").text
    data = asking.browser().get(asking.address(name, said, ".json"))
    assert data.mimetype == "application/json"
    return page


@pytest.mark.parametrize("name", CALCULATORS)
def test_markup_in_every_field_stays_text(name: str) -> None:
    """Each field is shown again with its sentence, and with the markup as it was typed."""
    page = marked(name, dict.fromkeys(forms.inputs(name), MARKUP))
    for key, spec in forms.inputs(name).items():
        if spec.kind not in ("choice", "flag"):
            assert asking.by_id(page, f"in-{key}").attributes["value"] == MARKUP, key


# free words alone can be taken and answered; each other field by itself in a deep run
@pytest.mark.parametrize(
    ("name", "key"),
    [one for one in SPECS if TIMES > 1 or forms.inputs(one[0])[one[1]].kind == "words"],
)
def test_markup_in_a_field_stays_text(name: str, key: str) -> None:
    marked(name, {**forms.example(name), key: MARKUP})


@pytest.mark.parametrize(
    "path",
    [
        f"/{quote(MARKUP)}", f"/make/{quote(MARKUP)}", f"/cautions/{quote(MARKUP)}",
        f"/words?q={quote(MARKUP)}", f"/make/blend?{quote(MARKUP)}=1",
        f"/make/blend?part=1+kg+water&.units={quote(MARKUP)}",
        f"/make/blend?part=1+kg+water&.more={quote(MARKUP)}",
        f"/make/blend?part=1+kg+water&.made={quote(MARKUP)}",
        f"/make/blend/card?part=1+kg+water&.title={quote(MARKUP)}",
        f"/make/blend/card?part=1+kg+water&.paper={quote(MARKUP)}",
        f"/make/blend/label?part=1+kg+water&.title={quote(MARKUP)}",
        f"/make/blend/label?part=1+kg+water&.day={quote(MARKUP)}",
        f"/make/blend.json?part={quote(MARKUP)}",
        f"/make/blend/answer.json?part={quote(MARKUP)}", f"/make/{quote(MARKUP)}/answer.json",
        f"/make/blend?part=1+kg+water&.held=part%3D{quote(quote(MARKUP))}",
        f"/make/blend?part=1+kg+water&.held={quote(MARKUP)}",
        f"/make/siphon?.vessel={quote(MARKUP)}", f"/ingredients.json?{quote(MARKUP)}",
        f"/make/blend/solve?part={quote(MARKUP)}", f"/make/{quote(MARKUP)}/solve",
        *(f"/make/blend/solve?part=1+kg+water&.solve=1&.value=1&.output=abv&.find=water&{key}="
          f"{quote(MARKUP)}" for key in (".find", ".output", ".value", ".from", ".to")),
        *(f"/tasting/?.go=1&{key}={quote(MARKUP)}" for key in forms.inputs("tasting")),
        *(f"/ladder/?.go=1&{key}={quote(MARKUP)}" for key in forms.inputs("ladder")),
        f"/tasting/{quote(MARKUP)}/", f"/ladder/{quote(MARKUP)}", f"/join/{quote(MARKUP)}",
    ],
)  # fmt: skip
def test_markup_in_an_address_stays_text(path: str) -> None:
    answer = asking.browser().get(path, follow_redirects=True)
    assert answer.status_code in (200, 400, 404, 422)
    if answer.mimetype == "application/json":
        return
    page = asking.tree(answer)
    own_alone(page)
    assert "<script>alert" not in answer.text


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.sampled_from(SPECS),
    st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=60),
)
def test_any_text_in_any_field_is_answered_in_words(spec: tuple[str, str], words: str) -> None:
    name, key = spec
    answer = asking.browser().get(
        asking.address(name, {**forms.example(name), key: words}), follow_redirects=True
    )
    assert answer.status_code in (200, 422)
    asking.tree(answer)


# what is carried


@pytest.mark.parametrize("name", CALCULATORS)
def test_what_is_carried_is_the_product_itself(name: str) -> None:
    said = forms.example(name)
    answer = registry.run(name, said)
    made = requests.of(answer, said)
    page = asking.tree(asking.browser().get(asking.address(name, said), follow_redirects=True))
    if made is None:
        assert answer.product is None or answer.verdict == "stop"
        assert not list(page.all(class_="onward"))
        return
    (again,), pantry = requests.read_carried([made.line], Pantry())
    assert answer.product is not None
    assert again.mixture == answer.product
    part = pantry.part(made.amount)
    assert part.mass_kg == pytest.approx(answer.product.mass_kg, rel=1e-9)
    links = list(page.first(class_="onward").all("a"))
    last = name in ("siphon", "carbonate", "cryogen")
    assert len(links) == len(registry.LAST if last else requests.NEXT)
    browser = asking.browser()
    # three links of each calculator by turns, all in the deep profile: every target is come to
    first = list(CALCULATORS).index(name)
    turned = links if TIMES > 1 else [links[(first + i) % len(links)] for i in range(3)]
    for link in turned:
        followed = browser.get(link.attributes["href"])
        assert followed.status_code == 200
        form = asking.tree(followed)
        target = link.attributes["href"].split("?")[0].rsplit("/", 1)[1]
        field = asking.by_id(form, f"in-{requests.NEXT[target]}")
        assert field.attributes["value"] == made.amount
        assert made.name in form.first(class_="carried").text


def test_the_name_of_what_is_carried_is_on_its_card() -> None:
    said = forms.example("cordial")
    made = requests.of(registry.run("cordial", said), said)
    assert made is not None
    card = asking.browser().get(asking.address("cordial", said, "/card"))
    hashed = re.findall(r"([0-9a-f]{4})-[0-9a-f]{4}-[0-9a-f]{4}", asking.tree(card).text)
    assert set(hashed) == {made.name.removeprefix("cordial-")}
    other = requests.of(registry.run("cordial", {**said, "brix": "46"}), {**said, "brix": "46"})
    assert other is not None
    assert other.name != made.name


ROWS = [
    "101 g ± 1 g lemon juice", "102 g ± 1 g orange juice", "103 g ± 1 g white sugar",
    "104 g ± 1 g water", "105 g ± 1 g cream 35 %", "106 g ± 1 g spirit 43 %",
]  # fmt: skip


@pytest.mark.parametrize("name", CALCULATORS)
def test_the_longest_form_is_answered_within_two_seconds(name: str) -> None:
    """As many rows as are taken, each with its ±; by the process's own time."""
    said = forms.example(name)
    for key, spec in forms.inputs(name).items():
        if key in said and spec.kind == "parts":
            said = {**said, key: (ROWS * 4)[: forms.MOST_ROWS]}
        elif key in said and spec.kind == "many words":
            said = {**said, key: (said[key] * 24)[: forms.MOST_ROWS]}
    browser = asking.browser()
    browser.get(f"/make/{name}")
    start = time.process_time()
    answer = browser.get(asking.address(name, said), follow_redirects=True)
    assert time.process_time() - start < 2.0
    assert answer.status_code in (200, 422)


def test_every_next_work_takes_a_mixture() -> None:
    for name, field in requests.NEXT.items():
        assert forms.inputs(name)[field].kind in ("part", "parts", "many words")


def test_a_chain_of_three_is_worked_out_as_one() -> None:
    browser = asking.browser()
    first = asking.tree(browser.get("/make/blend?part=700+ml+spirit+43+%25&part=300+ml+water"))
    link = next(one for one in first.first(class_="onward").all("a") if one.text == "dilute")
    second = link.attributes["href"].replace(".edit=1", "to_strength=25+%25+vol")
    page = asking.tree(browser.get(second))
    link = next(one for one in page.first(class_="onward").all("a") if one.text == "serve")
    third = browser.get(link.attributes["href"].replace("&.edit=1", "").replace("?", ".json?"))
    assert third.status_code == 200
    ethanol = registry.run("serve", {"part": ["700 ml spirit 43 %"]}).values["ethanol"].value
    assert third.json["values"]["ethanol"]["value"] == pytest.approx(ethanol, rel=1e-9)


@pytest.mark.parametrize(
    ("name", "changed"),
    [("siphon", {}), ("cryogen", {}), ("chill", {"way": "dry ice", "target": "2 C",
     "room_volume": "200 m3", "air_changes": "4 /h", "part": ["2 l syrup 20 Bx"]})],
)  # fmt: skip
def test_what_met_gas_or_cold_is_not_charged_chilled_or_blended_again(
    name: str, changed: dict[str, str]
) -> None:
    said = {**forms.example(name), **changed}
    made = requests.of(registry.run(name, said), said)
    assert made is not None
    browser = asking.browser()
    for target, field in requests.NEXT.items():
        words = {**forms.example(target), ".made": made.line}
        many = forms.inputs(target)[field].kind in forms.MANY
        amount = f"100 g {made.name}"
        words[field] = [*words.get(field, [])[:1], amount] if many else amount
        answer = browser.get(asking.address(target, words), follow_redirects=True)
        if target in registry.LAST:
            assert answer.status_code == 200, (target, answer.text)
        else:
            assert answer.status_code == 422
            assert "has met gas or a cryogen" in asking.tree(answer).text


def test_a_foam_goes_on_by_weight_only() -> None:
    said = forms.example("foam")
    made = requests.of(registry.run("foam", said), said)
    assert made is not None
    browser = asking.browser()
    good = {"part": f"50 g {made.name}", ".made": made.line}
    assert browser.get(asking.address("serve", good)).status_code == 200
    bad = asking.address("serve", {**good, "part": f"50 ml {made.name}"})
    assert "mostly gas" in wrong_at(asking.tree(browser.get(bad)), "part")


@pytest.mark.parametrize(
    "line",
    [
        "", "blend", "none?part=1+kg+water", "blend?part=1+kg+nothing", "blend?parts=1",
        "room?release=8+kg+co2", "siphon?contents=500+ml+cream+35+%25&gas=n2o&temperature=5+C",
        "blend?" + "part=1+g+water&" * 200, "blend?" + "&" * 3000,
        "blend?part=1+kg+water&.made=blend",
        "blend?part=1+kg+blend-0000",
    ],
)  # fmt: skip
def test_a_line_that_carries_nothing_is_told(line: str) -> None:
    pairs = [("part", "1 kg water"), (".made", line)]
    answer = asking.browser().get(asking.address("blend", pairs))
    assert answer.status_code == 422
    assert asking.tree(answer).first(class_="problems").text


def test_no_more_is_carried_than_is_taken() -> None:
    pairs = [("part", "1 kg water"), *[(".made", "blend?part=1+g+water")] * (requests.MOST + 1)]
    assert asking.browser().get(asking.address("blend", pairs)).status_code == 422


# colours


def colours(scheme: str) -> dict[str, str]:
    """The colours of a scheme; dark has those of light that it does not change."""
    blocks = re.findall(r":root \{([^}]*)\}", STYLE)
    found: dict[str, str] = {}
    for block in blocks[: 1 if scheme == "light" else 2]:
        found |= dict(re.findall(r"--([a-z-]+): (#[0-9a-f]{3,6})", block))
    return found


def light(colour: str) -> float:
    """Relative luminance by WCAG 2.2."""
    digits = colour.lstrip("#")
    digits = "".join(one * 2 for one in digits) if len(digits) == 3 else digits
    parts = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio by WCAG 2.2."""
    dark, bright = sorted((light(one), light(other)))
    return (bright + 0.05) / (dark + 0.05)


def test_contrast_is_worked_out_as_published() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


TEXT = [
    *itertools.product(("ink", "quiet", "act", "stop-text"), ("paper", "sheet")),
    ("on-act", "act"), ("on-care", "care"), ("on-stop", "stop"),
]  # fmt: skip
EDGES = [
    *itertools.product(("edge", "focus", "frame", "stop", "stop-text"), ("paper", "sheet")),
]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_and_edges_can_be_told_apart(scheme: str) -> None:
    found = colours(scheme)
    assert {one for pair in (*TEXT, *EDGES) for one in pair} <= set(found)
    for one, other in TEXT:
        assert contrast(found[one], found[other]) >= 4.5, (one, other)
    for one, other in EDGES:
        assert contrast(found[one], found[other]) >= 3.0, (one, other)


def test_no_colour_stands_outside_the_two_sets_but_for_print_and_pictures() -> None:
    rules = re.sub(r":root \{[^}]*\}", "", STYLE)
    outside = set(re.findall(r"#[0-9a-f]{3,6}\b(?=[;\s])", rules))
    # ground, ink and frame of a picture, which is turned over as a whole in the dark
    assert outside <= {"#fff", "#000", "#6f6a5f"}


def test_nothing_outside_is_asked_for() -> None:
    assert not re.search(r"url\(|@import|https?:|@font-face", STYLE)
