"""What the terminal says of what a whole frame forgives: the same answers as page and sheet."""

from collections.abc import Iterator

from fieldapp.base.said import in_words
from fieldapp.plan.forgives.record import Forgives
from fieldapp.plan.words import SAFETY
from fieldapp.wording.forgives import CARE, forgives_answers


def forgives_lines(found: Forgives) -> Iterator[str]:
    """Each answer with its lines, then the cautions."""
    for answer in forgives_answers(found):
        yield f"{in_words(answer.about)}: {in_words(answer.head)}"
        yield from (f"  {in_words(line)}" for line in answer.lines)
    yield from map(in_words, CARE)
    yield SAFETY
