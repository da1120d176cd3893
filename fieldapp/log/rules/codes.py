"""Rules for codes that parts keep (read surely, no IDs of the kit, two with one asked) and for measured numbers."""

from fieldapp.base.said import Number, Row
from fieldapp.kit.checklist import possible_of
from fieldapp.kit.ids import parse_part_id
from fieldapp.log.codes import checks_itself, code_key, parts_with_code
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds_codes import CodeKeptData, MeasuredData
from fieldapp.log.rules.terms import Admitted, Asked


def code_kept(asked: Asked, data: CodeKeptData) -> Admitted | Refusal:
    """Kept once; a symbol checks itself, so do some bar codes, all else is typed twice alike."""
    name, carriers = asked.called(asked.part.id), parts_with_code(asked.state, data.code)
    if not code_key(data.code) or parse_part_id(data.code, asked.site.kit).found or _made_since(asked, data.code):
        return refuse("own_id", "'{code}' reads as an ID of this kit, so it cannot stand for {part} as well.",
                      "Paint over it or write more to it, then keep that.", code=data.code[:40], part=name)
    if asked.part.id in carriers:
        return refuse("kept_already", "{part} keeps that code already.", "Nothing more to do.", part=name)
    if data.read == "typed" and not checks_itself(data.code) and code_key(data.code) != code_key(data.again):
        return refuse("not_twice", "'{code}' has no check digit and was not typed twice alike.",
                      "Read it again and type it in both fields.", code=data.code[:40])
    if carriers and not data.others:
        return refuse("same_code", "the code '{code}' is kept for {others} already.",
                      "Look at both parts. If both carry it, say so; scanning it will then ask which one it is.",
                      others=Row(tuple(asked.called(part) for part in carriers)), code=data.code[:40])
    return Admitted(asked.part.id, None, data)


def _made_since(asked: Asked, code: str) -> bool:
    """Whether it is the ID of a part made since the kit was."""
    return any(code_key(code) == code_key(part) for part in asked.state.made)


def measured(asked: Asked, data: MeasuredData) -> Admitted | Refusal:
    """A number that this part can have; by the list where it has such a line."""
    check = asked.site.checklist.check(asked.part.kind, data.item) if asked.site.checklist else None
    span = possible_of(check, asked.part) if check else None
    if span is not None and not span[0] <= data.value <= span[1]:
        return refuse("cannot_be", "{part} cannot have been measured with {value} {unit}.", "Measure it again.",
                      part=asked.called(asked.part.id), value=Number(data.value, None), unit=data.unit)
    return Admitted(asked.part.id, asked.past.fitted_at, data)
