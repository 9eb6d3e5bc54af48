"""Aligned columns are those of the general library for tables, whatever the cells hold."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from tabulate import tabulate

from prepkit.render.text import grid

WORDS = st.text(st.sampled_from("ab 1.5-°±"), max_size=8)
HEADERS = st.text(st.sampled_from("xy z°"), min_size=1, max_size=8)


@given(st.data(), st.integers(1, 5), st.booleans())
def test_as_the_general_library_draws_it(data: st.DataObject, columns: int, headed: bool) -> None:
    def row(cell: st.SearchStrategy[str]) -> st.SearchStrategy[list[str]]:
        return st.lists(cell, min_size=columns, max_size=columns)

    rows = data.draw(st.lists(row(WORDS), min_size=1, max_size=5))
    headers = data.draw(row(HEADERS)) if headed else []
    letters = "".join(data.draw(row(st.sampled_from("lr"))))
    theirs = tabulate(
        rows, headers=headers, tablefmt="simple" if headed else "plain", disable_numparse=True,
        colalign=[{"l": "left", "r": "right"}[letter] for letter in letters],
    )  # fmt: skip
    assert grid(rows, headers, letters) == theirs


def test_headers_without_rows() -> None:
    assert grid([], ("what", "g"), "lr").splitlines()[1] == "------  ---"
    assert grid([]) == ""
