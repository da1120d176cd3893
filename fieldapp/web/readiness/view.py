"""Readiness in the words of the page: fit or not, what to make, mend and exchange."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from fieldapp.base.numbers import decimal, percent
from fieldapp.frame.frame import Frame
from fieldapp.log.state import State
from fieldapp.plan.ways import named
from fieldapp.plan.words import force, speed
from fieldapp.reports.parts import Unsound
from fieldapp.reports.readiness import ClassCount, Readiness
from fieldapp.reports.readiness.making import MakeRow, class_said
from fieldapp.reports.readiness.outfit import Outfit, Sticker
from fieldapp.reports.readiness.reasons import Reason
from fieldapp.reports.readiness.smaller import smaller_said
from fieldapp.reports.readiness.survival import Survival
from fieldapp.statics.causes import gives_way
from fieldapp.statics.governs import ends_before
from fieldapp.web.cards.part_view import class_name
from fieldapp.web.common.i18n import _, in_words, ngettext
from fieldapp.wording.standing import share_text

MOST_NAMED = 12
INSPECTS = ("inspection", "again")
"""Reasons that an inspection answers."""


@dataclass(frozen=True, slots=True)
class ReasonLine:
    """One thing that keeps the kit from being fit."""

    words: str
    what_next: str
    named: tuple[str, ...]
    """Parts or places, the first of them."""
    more: int
    inspects: bool
    """True if inspecting more parts is the answer."""


@dataclass(frozen=True, slots=True)
class MakeLine:
    """Parts of one class to make."""

    words: str
    kind: str
    part_class: str
    places: tuple[str, ...]
    cut: str
    arms: tuple[tuple[int, str, str], ...]
    """(arm, azimuth, dip) in words."""

    @property
    def first_place(self) -> str:
        """The place that the first one made is for; empty for a spare."""
        return self.places[0] if self.places else ""


@dataclass(frozen=True, slots=True)
class SmallerLine:
    """The smaller frame that what is there would make."""

    words: str
    way: str
    uneven_mm: str
    """By how much its ground hubs differ in height, whole [mm]."""
    below_mm: str
    """How far their empty arms reach below them, whole [mm]."""


@dataclass(frozen=True, slots=True)
class MoveLine:
    """A part that goes to another place."""

    part: str
    place: str
    words: str


@dataclass(frozen=True, slots=True)
class GainRow:
    """One way to give out the parts, for comparison."""

    words: str
    exchanges: int
    worst: str
    total: str


@dataclass(frozen=True, slots=True)
class MendLine:
    """A part to mend, to look at again, to find."""

    part: str
    words: str
    act: str
    """Endpoint of the page on which that is written down."""
    act_words: str


@dataclass(frozen=True, slots=True)
class ClassRow:
    """One class in the table."""

    words: str
    cells: tuple[str, ...]
    short: bool


def smaller_line(ready: Readiness) -> SmallerLine | None:
    """Only looked for if parts are lacking."""
    found = ready.smaller
    return None if found is None else SmallerLine(
        in_words(smaller_said(found)), in_words(named(found.outfit.plan.way)), f"{found.uneven_mm:.0f}",
        f"{found.below_mm:.0f}")


def reason_lines(reasons: Iterable[Reason]) -> tuple[ReasonLine, ...]:
    """The gravest first; what has to be inspected is on the round's own page."""
    def line(reason: Reason) -> ReasonLine:
        named = () if reason.why == "inspection" else (reason.places or reason.parts)
        return ReasonLine(in_words(reason.words), in_words(reason.what_next), named[:MOST_NAMED],
                          max(0, len(named) - MOST_NAMED), reason.why in INSPECTS)

    return tuple(map(line, reasons))


def headline(ready: Readiness) -> str:
    """The answer in one line."""
    moves = len(ready.outfit.stickers)
    if ready.fit and moves:
        return ngettext("Fit, once {n} part has its new place", "Fit, once {n} parts have their new places", moves
                        ).format(n=moves)
    if ready.fit:
        return _("The kit is fit to be raised")
    lacking = len(ready.outfit.allocation.empty)
    if lacking:
        return ngettext("Not fit: {n} part is lacking", "Not fit: {n} parts are lacking", lacking).format(n=lacking)
    if all(reason.why in INSPECTS for reason in ready.reasons):
        return _("Not fit yet: parts wait for inspection")
    return _("Not fit: a part would be asked too much")


def make_lines(rows: Iterable[MakeRow]) -> tuple[MakeLine, ...]:
    """With all that the saw and the template need."""
    return tuple(MakeLine(
        in_words(row.name), row.kind, row.part_class, row.places,
        "" if row.cut_length_mm is None else ", ".join((
            _("cut {length} mm").format(length=decimal(row.cut_length_mm, 1)),
            *([in_words(row.section)] if row.section else []))),
        tuple((number, decimal(azimuth, 1, "°"), decimal(dip, 1, "°"))
              for number, azimuth, dip in row.arms)) for row in rows)


def move_lines(stickers: Iterable[Sticker], state: State) -> tuple[MoveLine, ...]:
    """What goes where, and which arm comes where if a hub that carries numbers is turned."""
    return tuple(MoveLine(one.part, one.place, ", ".join(_move_words(one, state))) for one in stickers)


def _move_words(one: Sticker, state: State) -> Iterable[str]:
    spare = state.part(one.part).is_spare
    if spare:
        yield _("a spare")
    yield _("instead of {part}").format(part=one.instead_of) if one.instead_of else _("the place has no part")
    if one.turn is not None and not spare:
        yield _("its arm 1 at arm {arm}").format(arm=one.turn.place_arm(1))
    if one.why != "fills":
        yield _("the weaker part then bears less") if one.why == "eases" else _("their lengths match better")


def gain_rows(found: Outfit) -> tuple[GainRow, ...]:
    """The exchanges that are advised, between the fewest and the best."""
    ways = ((_("only fill empty places"), found.plain), (_("as listed here"), found.allocation),
            (_("best of all"), found.best))
    return tuple(GainRow(words, len(given.moves), decimal(given.worst, 2),
                         decimal(given.total, 1)) for words, given in ways)


def gap_words(found: Outfit, frame: Frame) -> str:
    """What matching struts by length brings; empty if none was measured."""
    if found.gap_before_mm <= 0.0:
        return ""
    return _(frame.words.gaps).format(now=decimal(found.gap_mm, 1), before=decimal(found.gap_before_mm, 1))


def mend_lines(parts: Iterable[Unsound]) -> tuple[MendLine, ...]:
    """Each with the page where somebody writes down what was done."""
    return tuple(MendLine(part.part, " · ".join((_state(part), *map(in_words, part.words))), *_act(part))
                 for part in parts)


def _state(part: Unsound) -> str:
    states = {"quarantined": _("quarantined"), "watch": _("to be watched")}
    return _("missing") if part.missing else states.get(part.condition, part.condition)


def _act(part: Unsound) -> tuple[str, str]:
    if part.missing:
        return "part.page", _("Found it?")
    if part.condition == "quarantined" and part.usable_from is not None:
        return "mending.release", _("Release it")
    return "mending.repair", _("It was mended")


def class_rows(classes: Iterable[ClassCount]) -> tuple[ClassRow, ...]:
    """Lacking, needed, sound, to be watched, quarantined (with what is drying), missing, inspected."""
    def row(count: ClassCount) -> ClassRow:
        stock = count.stock
        cells = (count.short, count.needed, stock["sound"], stock["watch"], stock["quarantined"] + stock["drying"],
                 stock["missing"], count.inspected)
        return ClassRow(class_name(*count.key), tuple(str(cell or "–") for cell in cells), count.short > 0)

    return tuple(map(row, classes))


def load_lines(ready: Readiness) -> tuple[str, ...]:
    """What the real parts bear at their worst stage."""
    worst = ready.outfit.demand.least_borne
    if not worst.stands:
        return ()
    if any(reason.why == "untested" for reason in ready.reasons):
        return (_("Limits: unknown, not tested."),)
    lines = [_("Step {step} uses most of what it can take: {use} under its weight with the safety factor; "
               "{cause}.").format(step=worst.step, use=share_text(ready.outfit.worst_use),
                                  cause=in_words(gives_way(worst.bears.governs)))]
    if worst.locked_utilisation > 0.0:
        lines.append(_("Of that, lengths that do not fit lock in up to {use}.").format(
            use=share_text(worst.locked_utilisation)))
    return (*lines, *_limit_lines(ready.outfit))


def _limit_lines(found: Outfit) -> Iterable[str]:
    """What the crew must keep to, with the real parts and with sound ones."""
    real, sound = found.demand, found.asked
    push = real.easiest_push
    if math.isfinite(push.push.value) and not ends_before(push.push):
        yield _("Least push that a hub bears when it has just gone in: {push}, at {hub} in step {step}; {cause}; were "
                "all parts sound, {sound}.").format(
            push=in_words(force(push.push.value)), hub=push.hub, step=push.step,
            cause=in_words(gives_way(push.push.governs)), sound=in_words(force(sound.easiest_push.push.value)))
    if real.wind_m_s is not None and sound.wind_m_s is not None:
        yield _("Bare, the finished frame bears gusts up to {wind} m/s; were all parts sound, {sound} m/s.").format(
            wind=in_words(speed(real.wind_m_s)), sound=in_words(speed(sound.wind_m_s)))


def spare_lines(ready: Readiness) -> tuple[str, ...]:
    """What broke so far, and the chance of finishing with the spares there are."""
    found = ready.spares
    lines = [_("With the spares there are the raise is finished with a chance of {now} (wanted: {wanted}).").format(
        now=percent(found.chance_now), wanted=percent(found.chance))]
    lines += [_("{parts} broke of {n} fitted so far.").format(
        parts=in_words(class_said((row.kind, row.part_class), row.broke)), n=row.fitted)
        for row in found.rows if row.broke]
    return tuple(lines)


def last_lines(parts: Iterable[Survival]) -> tuple[str, ...]:
    """How many raises parts lasted, of the classes in which any broke."""
    return tuple(_("{name}: {parts} were in a raise, {broke} broke; after {raises} {share} were still whole.").format(
        name=class_name(one.kind, one.part_class), parts=one.parts, broke=one.broke, raises=ngettext(
            "{n} raise", "{n} raises", one.whole[-1][0]).format(n=one.whole[-1][0]),
        share=percent(one.whole[-1][1]))
        for one in parts if one.broke and one.whole)
