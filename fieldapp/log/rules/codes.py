"""Rule for a code that a part keeps: read surely, no ID of this kit, and nobody else's unless that was asked."""

from fieldapp.base.said import Row
from fieldapp.kit.ids import parse_part_id
from fieldapp.kit.numbering import short_name
from fieldapp.log.codes import checks_itself, code_key, parts_with_code
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds_codes import CodeKeptData
from fieldapp.log.rules.terms import Admitted, Asked


def code_kept(asked: Asked, data: CodeKeptData) -> Admitted | Refusal:
    """Kept once; a symbol checks itself, so do some bar codes, all else is typed twice alike."""
    name, carriers = short_name(asked.part.id), parts_with_code(asked.state, data.code)
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
                      others=Row(tuple(short_name(part) for part in carriers)), code=data.code[:40])
    return Admitted(asked.part.id, None, data)


def _made_since(asked: Asked, code: str) -> bool:
    """Whether it is the ID of a part made since the kit was."""
    return any(code_key(code) == code_key(part) for part in asked.state.made)
