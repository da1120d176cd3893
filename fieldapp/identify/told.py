"""What a heap may be, in words for the terminal."""

from collections.abc import Iterator

from fieldapp.base.units import m_from_mm
from fieldapp.identify.rank import Identified, Match
from fieldapp.identify.shapes import HIGHEST, HIGHEST_STEPS, KnownFrame

CANNOT_SEE = ("What lengths cannot show: a tape that is wrong in proportion. All sizes are then wrong by the same "
              "share, and nothing here tells. Hold the tape against another one.")
STRENGTH = ("What a strut or a hub bears cannot be seen from its length. Treat its strength as unknown until you have "
            "broken some; a person who knows must judge a frame that is open to the public.")
NOT_SIZED = 100.0
"""An interval of the diameter wider than this asks for a span or a height [mm] (in no formula)."""


def frame_words(known: KnownFrame) -> str:
    """A frame by its kind, for example "icosahedron, frequency 3, class I, cut 5/9, level base"."""
    b, c = known.steps
    steps = "" if known.sphere_class == "I" else f" ({b}, {c})"
    level = {True: ", level base", False: ", base not level", None: ""}[known.level]
    cut = "whole sphere" if known.cut == "full" else f"cut {known.cut}"
    kind = f"{known.base}, frequency {known.frequency}, class {known.sphere_class}{steps}"
    return f"{kind}, {known.division}, {cut}{level}"


def heap_lines(verdict: Identified) -> Iterator[str]:
    """All that is told."""
    heap = verdict.heap
    hubs = sum(heap.hub_counts.values())
    counted = f"{hubs} hubs" if hubs else "hubs not counted"
    yield f"{heap.struts} struts in {len(heap.pieces)} rows, {counted}."
    if not verdict.matches:
        yield (f"Unknown: no frame that was looked at has so many struts. Looked at were spheres of an icosahedron or "
               f"octahedron up to frequency {HIGHEST} (classes II and III up to {HIGHEST_STEPS}), at all level cuts.")
        return
    yield _answer(verdict)
    if verdict.stretch > 1.0:
        yield (f"The readings scatter {verdict.stretch:.1f} times as much as the file says; intervals are widened by "
               f"that.")
    for number, match in enumerate(verdict.matches, start=1):
        if number == 1 or match.share >= LEAST_TOLD:
            yield from _match_lines(number, match, verdict)
    yield CANNOT_SEE
    yield STRENGTH


LEAST_TOLD = 0.001
"""Others are told from this share on (in no formula)."""


def _answer(verdict: Identified) -> str:
    """The one line that matters."""
    best = verdict.matches[0]
    name, off = frame_words(best.known), f"off by {best.off_mm:.0f} mm"
    why = {"foreign": f"{best.foreign:.0f} pieces have none of its lengths",
           "over": f"{best.over} struts more than it takes", "scatter": "its lengths do not fit the readings"}
    if verdict.fault:
        return f"Unknown: nearest is {name}, {off}; {why[verdict.fault]}."
    if verdict.sure == "unknown":
        return f"Unknown: it may be one of these; nearest is {name}, {off}. Count hubs by arms, or measure a span."
    return f"{verdict.sure.capitalize()}: {name}; all but three pieces within {best.off_mm:.0f} mm."


def _match_lines(number: int, match: Match, verdict: Identified) -> Iterator[str]:
    """One frame: how likely, how large, what it lacks."""
    low, high = match.diameter_mm
    take_low, take_high = match.take_up_mm
    yield (f"{number}. {frame_words(match.known)} ({match.share:.1%} of what was looked at), misfit "
           f"{match.off_mm:.0f} mm")
    yield (f"   diameter {m_from_mm(2 * match.fit.radius_mm):.3f} m ({m_from_mm(low):.3f} to {m_from_mm(high):.3f}), "
           f"take-up at each end {match.fit.take_up_mm:.0f} mm ({take_low:.0f} to {take_high:.0f}); 95 % intervals, "
           f"if it is this frame")
    if high - low > NOT_SIZED:
        yield ("   The lengths alone do not part diameter and take-up: measure a take-up, or the larger of span and "
               "height.")
    yield (f"   struts: {match.known.total}, lacking {_lacking(match)}; too many {match.over}; foreign "
           f"{match.foreign:.0f}")
    if verdict.heap.hubs:
        lacking = ", ".join(f"{count} with {arms} arms" for arms, count in match.hubs_lacking) or "none"
        yield f"   hubs: lacking {lacking}; too many or of other arms {match.hubs_over}"
    yield from _besides(match, verdict)


def _lacking(match: Match) -> str:
    """"none", or how many of which length."""
    return ", ".join(f"{count} of {mm:.0f} mm" for mm, count in match.lacking) or "none"


def _besides(match: Match, verdict: Identified) -> Iterator[str]:
    """Span and height that contradict the lengths."""
    heap, known = verdict.heap, match.known
    for name, said, factor in (("span", heap.span, known.span), ("height", heap.height, known.height)):
        if said is not None:
            off = said.value_mm - match.fit.radius_mm * factor
            if abs(off) > 1.5 * said.plus_minus_mm:
                yield (f"   The {name} that was measured is {abs(off):.0f} mm {'more' if off > 0 else 'less'} than "
                       f"this frame has: it was measured elsewhere, or one tape is wrong, or it is another frame.")
