"""Rules for parts lent between kits, and for a log that comes home: what one kit's log can know of it.

Whether the lender stays fit without the part is judged above this room, for all kits together.
"""

from fieldapp.base.said import Row, say
from fieldapp.kit.numbering import KIND_OF_LETTER, id_pieces
from fieldapp.kit.parts import class_names
from fieldapp.kit.standing_in import fits_class
from fieldapp.log.entry import Refusal, refuse
from fieldapp.log.kinds_loans import AskedForData, BorrowedData, HomeAgainData, LoanData, LogHomeData
from fieldapp.log.rules.terms import Admitted, Asked, not_dry


def elsewhere(asked: Asked) -> Refusal:
    """The part is at another kit: what happens to it is written down there."""
    away = asked.past.away
    if away is None:
        raise ValueError("asked of a part that is here")
    return refuse("elsewhere", "{part} is at {kit} ({said}).",
                  "Write it down there, or say first that it is home again.", part=asked.called(asked.part.id),
                  kit=away.other, said=asked.when_and_who(away.entry))


def lent(asked: Asked, data: LoanData) -> Admitted | Refusal:
    """A sound part of this kit that no place needs."""
    past, part = asked.past, asked.part
    name, home = asked.called(part.id), asked.state.home_of(part.id)
    if past.away is not None:
        return elsewhere(asked)
    if past.borrowed is not None:
        return refuse("borrowed", "{part} belongs to {kit}.", "Give it back there first.", part=name,
                      kit=past.borrowed.other)
    if data.kit == asked.letters:
        return refuse("own_kit", "{part} is of kit {kit} already.", "Choose another kit.", part=name, kit=data.kit)
    if past.fitted_at is not None or home in asked.site.plan.step_of:
        return refuse("needed", "{part} is needed at place {place}.", "Choose a part that is left over.", part=name,
                      place=past.fitted_at or str(home))
    if past.condition != "sound" or past.missing or past.capacity or past.mends:
        return refuse("not_sound", "{part} is not known to be sound: {reasons}.", "Lend only what is.", part=name,
                      reasons=Row(past.reasons, "; ") if past.reasons else say("missing or mended"))
    return not_dry(asked, say("Choose another one.")) or Admitted(part.id, None, data)


def home_again(asked: Asked, data: HomeAgainData) -> Admitted | Refusal:
    """Only what was lent comes home."""
    away = asked.past.away
    if away is None or away.key != data.loan:
        return refuse("not_lent", "{part} was not lent to {kit}.", "Look at its history.",
                      part=asked.called(asked.part.id), kit=data.title)
    return Admitted(asked.part.id, None, data)


def borrowed(asked: Asked, data: BorrowedData) -> Admitted | Refusal:
    """A part of another kit that is as one of a class here; its ID must not be one of this kit's."""
    kit, part = asked.site.kit, str(asked.request.part)
    letters, number, _check = id_pieces(part)
    if letters != data.kit or letters == asked.letters or KIND_OF_LETTER.get(number[:1]) != data.kind:
        return refuse("strange_id", "{part} cannot be told from parts of this kit, or is not of kit {kit}.",
                      "A part of a kit with the same letters is not taken over: labels say no more than that.",
                      part=part[:40], kit=data.kit)
    past = asked.state.parts.get(part)
    if past is not None and past.away is None:
        return refuse("here_already", "{part} is here already.", "Nothing more to do.", part=part)
    if data.part_class not in class_names(kit.frame, data.kind):
        return refuse("no_such_class", "this frame has no {part_class}.", "Choose one of its classes.",
                      part_class=data.part_class)
    why = fits_class(kit, (data.kind, data.part_class), arms=data.arms, cut_length_mm=data.cut_length_mm)
    if why is not None:
        return refuse("not_alike", "{part} is not as {part_class} here: {why}.", "Choose another part.", part=part,
                      part_class=data.part_class, why=why)
    return Admitted(part, None, data)


def given_back(asked: Asked, data: LoanData) -> Admitted | Refusal:
    """Out of the frame, and of another kit."""
    past, name = asked.past, asked.called(asked.part.id)
    if past.borrowed is None or past.away is not None:
        return refuse("not_borrowed", "{part} is not borrowed.", "Look at its history.", part=name)
    if past.fitted_at is not None:
        return refuse("still_fitted", "{part} sits at place {place} ({said}).", "Take it down first.", part=name,
                      place=past.fitted_at, said=asked.when_and_who(past.fitted_by))
    return Admitted(asked.part.id, None, data)


def asked_for(asked: Asked, data: AskedForData) -> Admitted | Refusal:
    """Each part is asked for once, and not while it is here."""
    past = asked.state.parts.get(data.part)
    if past is not None and past.away is None:
        return refuse("here_already", "{part} is here already.", "Nothing more to do.", part=data.part)
    if any(ask.part == data.part for ask in asked.state.asks):
        return refuse("asked_already", "{part} is asked for already.", "Wait until its kit's log is home.",
                      part=data.part)
    return Admitted(data=data)


def log_home(asked: Asked, data: LogHomeData) -> Admitted | Refusal:
    """Only a log that was away comes home; of a lost one somebody says why."""
    if asked.state.log_away is None:
        return refuse("not_away", "this kit's log is not away.", "Nothing more to do.")
    if data.lost and not data.words:
        return refuse("why_lost", "a log that is lost needs a reason.", "Say how it was lost.")
    return Admitted(data=data)
