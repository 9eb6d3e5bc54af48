"""A recipe's view on a small screen: a list that leads to its parts, and figures folded away."""

from __future__ import annotations

import pytest
from page.recipe_pages import NAMES, client, reads_well


@pytest.mark.parametrize("name", NAMES)
def test_a_list_at_the_top_leads_to_each_part(name: str) -> None:
    root = reads_well(client().get(f"/recipes/{name}/whole"))
    jump = next(one for one in root.all("nav") if one.has("aria-label", "On this page"))
    targets = [one.attributes["href"][1:] for one in jump.all("a")]
    assert {"look", "shopping", "items", "notes", "always"} <= set(targets)
    headings = [one.attributes.get("id") for one in root.all("h2")]
    assert [one for one in headings if one in targets] == targets
    assert ("times" in targets) == ("times" in headings)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_weighed_and_done_is_never_folded(name: str) -> None:
    root = reads_well(client().get(f"/recipes/{name}/whole"))
    *folded, always = [one for one in root.all("details") if one.has("class", "figures")]
    assert next(always.all("summary")).text.startswith("Always, with this work")
    assert folded
    for one in folded:
        assert next(one.all("summary")).text.startswith("Checks and figures")
        inside = list(one.all("table")) + list(one.all("figure"))
        assert inside
        assert not any("caution" in each.attributes.get("class", "") for each in one.all())
        assert not any(each.has("class", "steps") for each in one.all("ol"))
