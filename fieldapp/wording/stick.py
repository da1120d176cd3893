"""The stick beside the laptop in sentences: the same for the chief's pages and the laptop's terminal."""

from collections.abc import Iterator, Mapping
from datetime import datetime

from fieldapp.base.clock import clock_words
from fieldapp.base.said import Said, Value, in_words, say, say_n
from fieldapp.log.stick_status import StickFault, StickStatus

_FAULTS: Mapping[StickFault, Said] = {
    "pulled": say("The stick was pulled out, or does not answer. Plug it in again: it catches up by itself."),
    "full": say("The stick is full. Make room on it, or plug in another one in its place."),
    "readonly": say("The stick is write-protected. Move its switch, or plug in another one in its place."),
    "slow": say("The stick does not answer. If that stays so, plug in another one in its place."),
    "other": say("The stick is not this kit's, or not as it was left. The laptop's terminal says what to do."),
    "uncopied": say("No whole copy of the log could be made for the stick. The laptop's terminal says why."),
}


def stick_said(status: StickStatus) -> Said:
    """How it stands, in one or two sentences."""
    if status.fault:
        return _FAULTS[status.fault]
    return say("The stick follows the log.") if status.begun else say("The stick is being brought up to date.")


def behind_said(status: StickStatus, now: datetime) -> tuple[Value, ...]:
    """Since when it has been in trouble, and what is not on it; nothing that changes from second to second else."""
    if not status.fault:
        return _copied(status, now)
    since = say("Since {time}; the site goes on without it.", time=clock_words(status.since, now))
    if not status.behind:
        return since, say("All entries are on it.")
    return since, say_n("{n} entry is on this laptop alone.", "{n} entries are on this laptop alone.", status.behind)


def terminal_lines(status: StickStatus, now: datetime) -> Iterator[str]:
    """For whoever has the laptop: with the folder, and what the system said."""
    where = f"{now:%H:%M} {status.folder}:"
    cause = f" ({status.why})" if status.why else ""
    if status.fault:
        yield f"{where} {in_words(stick_said(status))}{cause}"
        if status.behind:
            yield f"   {in_words(behind_said(status, now)[-1])}"
    else:
        yield f"{where} {in_words(stick_said(status))} {status.held} entries are on it."
    if status.aside:
        yield (f"   On it were entries that this log lacks; they are kept in {status.aside}. After the stop, bring "
               f"them in: raisebook log import")


def _copied(status: StickStatus, now: datetime) -> tuple[Value, ...]:
    if status.copied_at is None:
        return ()
    return (say("Each entry is there within a second; its last whole copy is of {time}.",
                time=clock_words(status.copied_at, now)),)
