"""Pictures of hazards and actions: a closed list, each drawn, told apart and read in black."""

from __future__ import annotations

import re
from typing import Any

import pytest
from page import browsing

from prepkit import blocks, model
from prepkit.errors import FileProblem
from prepkit.render import signs, wall

# what a lesson must have a picture for, by a word of its meaning
HAZARDS = (
    "burst", "oxygen", "so cold", "cylinder", "acid", "scalds", "spirit", "dry ice", "wet floor",
    "glass", "allergen", "raw egg", "germs", "alcohol", "plant", "charger", "carbon monoxide",
)  # fmt: skip
ACTIONS = (
    "vent it first", "gauge", "plate", "keep it cold", "air the room", "everybody out", "goes in",
    "raise the alarm", "call", "from outside", "gloves", "goggles", "20 minutes", "lukewarm",
    "rinse the eye", "lie flat", "on the side", "tell the guest", "throw it away", "date", "lid",
    "chain", "never seal", "never breathe", "do not rub", "vomit",
)  # fmt: skip


def test_the_list_is_closed_and_each_of_it_has_a_meaning_and_a_source() -> None:
    found = signs.pictures()
    assert len(found) == len(list(blocks.blocks(signs.LIST, "sign")))
    for one in found.values():
        assert one.kind in signs.KINDS
        assert len(one.meaning.split()) <= signs.MOST_WORDS
        assert one.meaning.endswith(".")
        assert model.source_of(one.source) is not None, one
    assert len({one.meaning for one in found.values()}) == len(found)
    # whatever is drawn is in the list, and whatever a wall sheet shows
    assert {name.split(" ")[1] for name in found} == set(signs.SYMBOLS)
    assert {one for sheet in wall.sheets() for row in sheet.signs for one in row} <= set(found)


@pytest.mark.parametrize(("kind", "words"), [("hazard", HAZARDS), ("action", ACTIONS)])
def test_there_is_a_picture_for_each_hazard_and_action(kind: str, words: tuple[str, ...]) -> None:
    told = [one.meaning.lower() for one in signs.pictures().values() if one.kind == kind]
    for word in words:
        assert any(word in meaning for meaning in told), word


def test_a_hazard_is_a_triangle_or_a_diamond_and_an_action_is_neither() -> None:
    for name, one in signs.pictures().items():
        shape = name.split(" ")[0]
        assert (shape in ("warning", "hazard")) == (one.kind == "hazard"), name
        assert (shape == "prohibition") == bool(re.match("Never|No|Do not|Will", one.meaning)), name


def test_a_sign_that_stands_alone_has_a_title_and_one_beside_words_is_hidden() -> None:
    for name, one in signs.pictures().items():
        alone, beside = signs.drawn(name, one.meaning), signs.drawn(name)
        assert f'role="img"><title>{one.meaning}</title>' in alone
        assert "aria-hidden" not in alone
        assert 'aria-hidden="true"' in beside
        assert "title" not in beside
    assert "<title>a &lt; b</title>" in signs.drawn("warning cold", "a < b")


def test_a_name_that_is_not_in_the_list_is_no_picture() -> None:
    assert signs.picture("warning cold").kind == "hazard"
    for name in ("warning sealed", "warning", "cold", ""):
        with pytest.raises(FileProblem, match="none of the pictures"):
            signs.picture(name)


def luminance(colour: str) -> float:
    """Relative luminance of "#rrggbb" by the WCAG formula."""
    full = "".join(2 * one for one in colour[1:]) if len(colour) == 4 else colour[1:]
    parts = [int(full[at : at + 2], 16) / 255 for at in (0, 2, 4)]
    line = [x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in parts]
    return 0.2126 * line[0] + 0.7152 * line[1] + 0.0722 * line[2]


def test_symbols_stand_out_from_their_ground_without_colour() -> None:
    """At least 4.5 to 1, as for letters, so that a print in black and white reads."""
    pairs = [(signs.BLACK, signs.YELLOW), (signs.BLACK, "#fff"), ("#fff", signs.BLUE),
             ("#fff", signs.GREEN), ("#fff", signs.RED)]  # fmt: skip
    for pair in pairs:
        dark, light = sorted(map(luminance, pair))
        assert (light + 0.05) / (dark + 0.05) >= 4.5, pair


# each sign: shares of red and yellow drawn large; pairs whose greys, drawn small as on a
# telephone, differ plainly in less than a share of the drawing
MEASURE = """async ([drawn, large, small, least]) => {
  const pixels = (image, wide) => {
    const canvas = document.createElement("canvas");
    canvas.width = canvas.height = wide;
    const pen = canvas.getContext("2d", { willReadFrequently: true });
    pen.fillStyle = "#fff";
    pen.fillRect(0, 0, wide, wide);
    pen.drawImage(image, 0, 0, wide, wide);
    return pen.getImageData(0, 0, wide, wide).data;
  };
  const share = (data, [r, g, b]) => {
    let found = 0;
    for (let at = 0; at < data.length; at += 4)
      if (Math.abs(data[at] - r) < 40 && Math.abs(data[at + 1] - g) < 40
          && Math.abs(data[at + 2] - b) < 40) found += 1;
    return 4 * found / data.length;
  };
  const shares = [], greys = [], alike = [];
  for (const [name, svg, red, yellow] of drawn) {
    const image = new Image();
    image.src = "data:image/svg+xml," + encodeURIComponent(svg);
    await image.decode();
    const wide = pixels(image, large), narrow = pixels(image, small);
    shares.push([name, share(wide, red), share(wide, yellow)]);
    const grey = new Float32Array(small * small);
    for (let at = 0, of = 0; at < grey.length; at += 1, of += 4)
      grey[at] = 0.2126 * narrow[of] + 0.7152 * narrow[of + 1] + 0.0722 * narrow[of + 2];
    greys.push(grey);
  }
  for (let one = 0; one < greys.length; one += 1)
    for (let other = one + 1; other < greys.length; other += 1) {
      let far = 0;
      for (let at = 0; at < greys[one].length; at += 1)
        if (Math.abs(greys[one][at] - greys[other][at]) > 90) far += 1;
      if (far < least * small * small)
        alike.push([shares[one][0], shares[other][0], far / small / small]);
    }
  return [shares, alike];
}"""
LARGE, SMALL = 300, 72  # px
LEAST = 1 / 50  # of the small drawing
RING = 0.785  # of the square, what a disc fills
TRIANGLE = 0.452  # and a triangle of 98 with its border round at the corners


def parts(colour: str) -> list[int]:
    return [int(colour[at : at + 2], 16) for at in (1, 3, 5)]


def test_colours_keep_their_share_and_no_two_look_alike_in_greys(browser: Any) -> None:
    """Red at least 35 % of a prohibition, yellow at least half of a warning [SIGN-SHAPES]."""
    size = f'xmlns="http://www.w3.org/2000/svg" width="{LARGE}" height="{LARGE}" viewBox'
    drawn = [
        [name, signs.drawn(name).replace("viewBox", size, 1), parts(signs.RED), parts(signs.YELLOW)]
        for name in signs.pictures()
    ]
    # a sign drawn twice is found to be alike, so that the measure is known to see
    twice = [*drawn, ["twice", *drawn[0][1:]]]
    with browsing.opened(browser) as page:
        shares, alike = page.evaluate(MEASURE, [twice, LARGE, SMALL, LEAST])
    assert alike == [[drawn[0][0], "twice", 0]]
    for name, red, yellow in shares:
        shape = name.split(" ")[0]
        if shape == "prohibition":
            assert red / RING >= 0.35, (name, red / RING)
        if shape == "warning":
            assert yellow / TRIANGLE >= 0.5, (name, yellow / TRIANGLE)
