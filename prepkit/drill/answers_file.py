"""What an answers file of a paper may hold. Only `marking` reads one."""

from collections.abc import Mapping
from typing import Annotated

from prepkit.drill.paper import LARGEST_SEED, LONGEST_ANSWER, LONGEST_NAME, MOST_QUESTIONS
from prepkit.drill.templates import LEVELS, TOPICS
from prepkit.errors import BadRecipe
from prepkit.file_kinds import Before, Beside, Choice, Form, Number, Text
from prepkit.file_models import FileModel


class Level(Number):
    """The level of a paper; null for all of them."""

    def _taken(self, value: object) -> object:
        return None if value is None else super()._taken(value)


class Name(Text):
    """Whose paper it is: a name on one line."""

    def read(self, value: object) -> str:
        """The name as the paper was made for it."""
        name = " ".join(super().read(value).split())
        if len(name) > LONGEST_NAME:
            raise BadRecipe(f"it has {len(name)} characters; write at most {LONGEST_NAME}.")
        return name


class Answers(Beside):
    """The answers by the number of their question."""

    missing = 'it is missing. Write it as {"1": "13.1 bar", "2": "B"}.'

    def read_beside(self, value: object, before: Before) -> dict[int, str]:
        """The words that were written, on one line each."""
        if not isinstance(value, dict):
            raise BadRecipe(self.missing)
        count = before.get("count", MOST_QUESTIONS)
        found: dict[int, str] = {}
        for name, given in value.items():
            if not (name.isascii() and name.isdigit() and name == str(int(name[:9]))):
                raise BadRecipe(
                    f'{ascii(name)[:60]} is not the number of a question. Write "1", "2" and so on.'
                )
            if not 1 <= int(name) <= count:
                raise BadRecipe(f"there is no question {name}; the paper has {count}.")
            if not isinstance(given, str) or len(given) > LONGEST_ANSWER:
                raise BadRecipe(f'the answer to {name} must be text of a line, such as "13.1 bar".')
            found[int(name)] = "".join(one if one.isprintable() else " " for one in given)
        return found

    def form(self) -> Form:
        """Words by number."""
        return {
            "type": "object",
            "propertyNames": {"pattern": "^[1-9][0-9]*$"},
            "additionalProperties": {"type": "string", "maxLength": LONGEST_ANSWER},
        }


class AnswersFile(FileModel, called="answers"):
    """Which paper it belongs to, and what was written."""

    topic: Annotated[str, Choice("The subject of the paper.", TOPICS)]
    seed: Annotated[int, Number("The number that its questions follow from.", 0, LARGEST_SEED)]
    count: Annotated[int, Number("How many questions it has.", 1, MOST_QUESTIONS)]
    level: Annotated[int | None, Level("Its level.", LEVELS[0], LEVELS[-1])] = None
    name: Annotated[str | None, Name("Whose paper it is, in a class.", "Asha")] = None
    answers: Annotated[Mapping[int, str], Answers("The answers written, by question.")]
