"""A ladder on the page: as the command line has it, printed, kept, tasted; bad words told."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from page import asking
from page.recipe_pages import client, copied, reads_well, token_of

WORDS: dict[str, Any] = {
    "part": ["1 l water", "150 g white sugar"], "step": ["acidity: 0.4 % to 0.8 %"],
    "glasses": "5", "volume": "40 ml",
}  # fmt: skip
MILK = {**WORDS, "part": ["1 l milk"], "step": ["sugar: 8 % to 16 %"]}


def ladder(said: dict[str, Any], to: str = "") -> Any:
    return asking.browser().get(f"/ladder/{to}", query_string=said)


def test_a_ladder_is_that_of_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    from prepkit.cli import main

    shown = reads_well(ladder(WORDS)).text
    with pytest.raises(SystemExit):
        main(["ladder", "--part", "1 l water", "--part", "150 g white sugar", "--step",
              "acidity: 0.4 % to 0.8 %", "--glasses", "5", "--volume", "40 ml"])  # fmt: skip
    printed = capsys.readouterr().out
    for line in printed.splitlines()[3:10]:
        for word in line.split("  "):
            assert word.strip(" -") in shown


def test_the_sheet_is_a_document_without_script() -> None:
    answer = ladder(MILK, "sheet")
    assert "unsafe-inline" in answer.headers["Content-Security-Policy"]
    page = asking.tree(answer)
    assert not list(page.all("script"))
    assert page.text.index("Allergens: milk") < page.text.index("Weigh into each glass")
    assert "Before the first glass" in page.text


def test_a_ladder_opens_its_tasting_and_allergens_are_asked() -> None:
    for said, allergens in ((WORDS, ""), (MILK, "milk")):
        page = reads_well(ladder(said))
        link = next(one.attributes["href"] for one in page.all("a") if one.text == "Taste it blind")
        asked = parse_qs(urlsplit(link).query)
        assert len(asked["glass"]) == 5
        assert asked.get("allergens", [""])[0] == allergens
        form = reads_well(asking.browser().get(link))
        assert asking.by_id(form, "in-allergens").attributes["value"] == allergens
        assert ("Page's test" in form.text) == bool(allergens)  # proposed once they are known


def test_a_grid_of_two_has_no_single_order_to_taste() -> None:
    said = {**WORDS, "step": [*WORDS["step"], "dilution: 5 % to 20 %"], "glasses": "3 x 2"}
    page = reads_well(ladder(said))
    assert "6 glasses" in page.text
    assert "Taste it blind" not in page.text


def test_a_ladder_is_kept_once_under_its_title_and_comes_back(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)

    def keep(title: str, **more: Any) -> Any:
        token = token_of(browser, "/ladder/")
        return browser.post("/ladder/", data={**WORDS, ".title": title, "token": token, **more})

    answer = keep("Cordial, sour")
    assert answer.status_code == 303
    path = folder / "ladders" / "cordial-sour.toml"
    first = path.read_text()
    back = reads_well(browser.get(answer.headers["Location"], follow_redirects=True))
    assert "5 glasses" in back.text
    assert [one.attributes["value"] for one in back.all("input", type="text", name="part")] == (
        WORDS["part"]
    )
    assert "cordial-sour" in reads_well(browser.get("/ladder/")).text
    assert "kept already" in reads_well(keep("Cordial: sour", glasses="4")).text
    assert path.read_text() == first
    for title in ("", "..", "/", "../../etc/passwd/"):
        keep(title)
    assert sorted(one.name for one in (folder / "ladders").glob("*.toml")) == [
        "cordial-sour.toml", "etc-passwd.toml",
    ]  # fmt: skip
    for name in ("..%2ffree-otter", "%2e%2e", "none", "a%00b", "..%2f..%2fetc%2fpasswd"):
        assert browser.get(f"/ladder/{name}").status_code in (400, 404, 308)
    assert browser.post("/ladder/", data={**WORDS, ".title": "x"}).status_code == 403
    (folder / "ladders" / "odd.toml").write_text("[ladder\n")
    assert browser.get("/ladder/odd").status_code == 404
    (folder / "ladders" / "link.toml").symlink_to("/etc/passwd")
    assert browser.get("/ladder/link").status_code == 404
    reading = client(folder)
    token = token_of(reading, "/ladder/")
    assert (
        reading.post("/ladder/", data={**WORDS, ".title": "y", "token": token}).status_code == 403
    )


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"glasses": "2"}, "3 to 9"), ({"glasses": "many"}, "no count"),
        ({"step": ["warmth: 1 to 2"]}, "is no step"), ({"step": []}, "needed"),
        ({"step": ["acidity: 0.8 % to 0.4 %"]}, "lower level first"),
        ({"volume": "1 ml"}, "between"), ({"part": ["1 l unobtainium"]}, "unobtainium"),
        ({"with": ["sugar: white sugar"]}, "o step is of the sugar"), ({"scale": "10"}, "scale"),
        ({"step": ["strength: 10 % vol to 20 % vol"]}, "spirit 96"), ({"other": "x"}, "x"),
        ({"with": ["acidity: methanol"]}, ""), ({"part": ["1 l water", "10 g dry ice"]}, ""),
    ],
)  # fmt: skip
def test_what_is_no_ladder_is_told(said: dict[str, Any], told: str) -> None:
    answer = ladder({**WORDS, **said})
    assert answer.status_code == 422
    page = reads_well(answer)
    text = page.first(class_="problems").text
    assert told in text
    assert "--" not in text
    assert not list(page.all(class_="wide"))
    assert ladder({**WORDS, **said}, "sheet").status_code == 422
