"""The rule for taking an entry back."""

from fieldapp.base.said import Row, Value, say
from fieldapp.kit.numbering import short_name
from fieldapp.log.entry import Entry, Refusal, refuse
from fieldapp.log.fold import apply
from fieldapp.log.kinds import KINDS, WithdrawnData
from fieldapp.log.rules.terms import Admitted, Asked, when_and_who


def withdrawn(asked: Asked, data: WithdrawnData) -> Admitted | Refusal:
    """One's own entries, or any by the chief; not twice, and not from under later entries."""
    target = asked.state.index.get(data.entry)
    if target is None:
        return refuse("no_entry", "there is no entry {entry} to withdraw.", "Open the part and choose the entry there.",
                      entry=data.entry)
    taken_back = asked.state.withdrawn.get(target.key)
    if taken_back is not None:
        return refuse("withdrawn_already", "'{what}' is withdrawn already ({said}).", "Nothing more to do.",
                      what=entry_words(target, asked.letters), said=asked.when_and_who(taken_back))
    return _no_right(asked, target) or _needed_later(asked, target, data) or Admitted(target.part, target.place, data)


def entry_words(entry: Entry, own: str = "") -> Value:
    """"S073 fitted"; `own` are the letters of the kit."""
    kind = KINDS.get(entry.kind)
    words: Value = kind.words if kind else entry.kind
    return say("{id} {act}", id=short_name(entry.part, own), act=words) if entry.part else words


def _no_right(asked: Asked, target: Entry) -> Refusal | None:
    kind = KINDS.get(target.kind)
    if asked.request.chief:
        return None
    if kind is not None and kind.chief:
        return refuse("chief_only", "'{what}' was the chief's entry ({said}).", "Ask the chief to withdraw it.",
                      what=entry_words(target, asked.letters), said=when_and_who(target, asked.now))
    if kind is not None and kind.chief_takes_back:
        return refuse("chief_takes_back", "'{what}' is lifted by the chief alone ({said}).", "Go to the chief.",
                      what=entry_words(target, asked.letters), said=when_and_who(target, asked.now))
    if _same_sender(asked, target):
        return None
    return refuse("not_yours", "'{what}' came from somebody else ({said}).",
                  "Ask them, or the chief, to withdraw it.", what=entry_words(target, asked.letters),
                  said=when_and_who(target, asked.now))


def _same_sender(asked: Asked, target: Entry) -> bool:
    request = asked.request
    if target.sender or request.sender:
        return target.sender == request.sender
    return bool(target.who) and target.called == request.who


def _needed_later(asked: Asked, target: Entry, data: WithdrawnData) -> Refusal | None:
    """Fold once without the target: later entries that would lose their ground are named."""
    trial = Entry(key=asked.request.key, kind="withdrawn", part=target.part, place=target.place, who="",
                  at=asked.now, data=data.model_dump(mode="json"), order_ms=asked.state.last_ms + 1)
    before = {clash.key for clash in asked.state.clashes}
    lost = [clash.key for clash in apply(asked.state, trial).clashes if clash.key not in before]
    if not lost:
        return None
    later = [asked.state.index[key] for key in lost[:3]]
    named = Row(tuple(say("{act} ({said})", act=entry_words(entry, asked.letters), said=when_and_who(entry, asked.now))
                      for entry in later), "; ")
    return refuse("needed_later", "'{what}' cannot be withdrawn while later entries build on it: {named}.",
                  "Withdraw those first, the latest before the others.", what=entry_words(target, asked.letters),
                  named=named)
