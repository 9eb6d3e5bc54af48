"""The papers of a lesson are those that `prepkit drill` marks."""

from __future__ import annotations

import json
import re
from pathlib import Path

from prepkit.drill.command import mark_paper, read_sheet
from prepkit.lesson import LessonFacts, lesson
from prepkit.render.text import caution_text

FACTS = LessonFacts("bar", 60, 7)


def test_the_answers_file_of_the_folder_is_marked_with_the_key_that_lies_beside_it(
    tmp_path: Path,
) -> None:
    made = lesson.files(FACTS)
    for name, paper in (
        ("test", lesson.test_paper(FACTS)),
        ("refresher", lesson.refresher_paper(FACTS)),
    ):
        said = json.loads(made[f"{name}-answers.json"])
        said["answers"] = {str(one.number): one.letter for one in paper.questions}
        path = tmp_path / f"{name}.json"
        path.write_text(json.dumps(said))
        assert mark_paper(read_sheet(path)).right == paper.count
        key = made[f"{name}-key.html"]
        for one in paper.questions:
            assert f'<th scope="row">{one.number}</th><td>{one.letter}</td>' in key


def test_no_key_lies_in_a_sheet_for_trainees() -> None:
    made = lesson.files(FACTS)
    for one in lesson.test_paper(FACTS).questions:
        for choice in one.choices:
            if choice.done:
                assert choice.done not in made["test.html"]


def test_a_caution_without_its_figures_is_not_said_twice() -> None:
    """Where every sentence of a hazard needs a figure its act stands alone, once."""
    for facts in (LessonFacts("bar", 120, seed) for seed in range(1, 9)):
        taught = [one.teaches for one in lesson.test_paper(facts).questions]
        bare = [one for one in taught if one.text == one.action]
        if bare:
            break
    assert bare
    key = lesson.files(facts)["test-long-key.html"]
    assert not re.findall(r"<p>([^<]+)</p>\s*<p>\1</p>", key)
    for one in bare:
        assert " ".join(caution_text(one).split()).count(one.text) == 1
