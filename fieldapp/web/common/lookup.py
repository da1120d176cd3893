"""From the text of an address, a symbol or a form to the part it names, or to a page that helps."""

from collections.abc import Iterable
from dataclasses import dataclass

from fieldapp.base.errors import PartIdError
from fieldapp.kit import with_parts
from fieldapp.kit.ids import Lookup, parse_part_id
from fieldapp.kit.kit import Part
from fieldapp.log.codes import parts_with_code
from fieldapp.web.common.context import site, state
from fieldapp.web.common.i18n import _


@dataclass(frozen=True, slots=True)
class Found:
    """A part, the strut end that the label said, and a remark on how it was typed."""

    part: Part
    end: int | None
    remark: str = ""

    @property
    def typed(self) -> str:
        """The part as its label says it, with the strut end: "OH-S073-C.2"."""
        return f"{self.part.id}.{self.end}" if self.end else self.part.id


class UnknownPartError(PartIdError):
    """Text that names no part; `answer` says why and offers the nearest."""

    def __init__(self, answer: Lookup, text: str) -> None:
        super().__init__(answer.message)
        self.answer, self.text = answer, text


def look_up(text: str) -> Lookup:
    """What `text` means among the kit's parts and those made since: an ID, or a code that a part carries from
    elsewhere; where two parts carry it, or one whose ID it is as well, none is found and all are offered."""
    made = tuple(state().made.values())
    kit = with_parts(site().kit, made) if made else site().kit
    answer = parse_part_id(text, kit)
    carriers = [part for part in parts_with_code(state(), text) if part != (answer.part.id if answer.part else None)]
    if not carriers:
        return answer
    found = (*((answer.part,) if answer.part else ()), *(state().part(part) for part in carriers))
    if len(found) == 1:
        return Lookup(found[0])
    asked = _("{count} parts carry that code. Which one is it? Look at the other marks on it.")
    return Lookup(None, message=asked.format(count=len(found)), nearest=found, several=True)


def find_part(text: str) -> Found:
    """The part that `text` names.

    Raises
    ------
    UnknownPartError
        With words and the nearest parts, if there is none.
    """
    answer = look_up(text)
    if answer.part is None:
        raise UnknownPartError(answer, text)
    return Found(answer.part, answer.end, answer.message)


def foreign_words(texts: Iterable[str]) -> tuple[str, ...]:
    """What is said of the labels of other kits among those that a photo shows."""
    answers = [look_up(text) for text in texts]
    return tuple(dict.fromkeys(answer.message for answer in answers if answer.other_kit))
