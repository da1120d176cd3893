"""What the terminal says of a kit: what `raisebook make` made, how it will be raised, and where one place is."""

from collections.abc import Iterator

import numpy as np

from fieldapp.base.constants import GAMMA_G
from fieldapp.base.said import in_words, listed
from fieldapp.base.units import m_from_mm
from fieldapp.frame.frame import Frame
from fieldapp.kit.cutting import CuttingPlans
from fieldapp.kit.file import Made
from fieldapp.kit.kit import Kit
from fieldapp.kit.parts import cut_length_mm
from fieldapp.kit.sections import classes_drawn
from fieldapp.plan.case import case_of
from fieldapp.plan.compare import way_report
from fieldapp.plan.kit_fit import kit_fit
from fieldapp.plan.order import judged_plan
from fieldapp.plan.out_of_reach import out_of_reach
from fieldapp.plan.words import SAFETY
from fieldapp.prints.pictures import Showing, frame_view
from fieldapp.prints.terminal.comparison import hours, reach_lines, use_text
from fieldapp.prints.terminal.fit import fit_lines
from fieldapp.statics.causes import gives_way
from fieldapp.statics.untested import untested_said
from fieldapp.wording.pegs import plan_pegs
from fieldapp.wording.place import end_goes, hub_where, sentence
from labels.terminal import terminal_lines

NEW_LABELS = "labels-new.pdf"
"""Labels of the parts that the last `make` added to a labelled kit."""


def summary(made: Made, cutting: CuttingPlans) -> tuple[str, ...]:
    """The lines, most asked-for first."""
    kit = made.kit
    return (*_size(kit), *_stock(cutting), *_news(made))


def _size(kit: Kit) -> Iterator[str]:
    """Hubs, struts, classes, size and mass."""
    frame = kit.frame
    spare_hubs = sum(part.is_spare and part.kind == "hub" for part in kit.parts)
    spare_struts = sum(part.is_spare and part.kind == "strut" for part in kit.parts)
    kinds, lengths = len(frame.hub_classes), len(frame.strut_classes)
    yield (f"{kit.design.frame.name}: {len(frame.hubs)} hubs in {kinds} class{'es' if kinds > 1 else ''}, "
           f"{len(frame.struts)} struts in {lengths} length{'s' if lengths > 1 else ''}")
    yield f"Spares: {spare_hubs} hubs, {spare_struts} struts"
    yield (f"Height {m_from_mm(frame.height_mm):.2f} m, {_across(frame)}, "
           f"mass {kit.mass_kg:.1f} kg")
    cuts = [f"{cut_length_mm(kind.centre_length_mm, kit.design):.1f} mm ({kind.letter})"
            for kind in frame.strut_classes]
    yield (f"Struts are cut {' to '.join(dict.fromkeys((cuts[0], cuts[-1])))}; "
           f"two hubs take {2 * kit.design.hub.reach_mm:g} mm of each")
    for letters, name in classes_drawn(frame):
        yield f"Struts {', '.join(letters)}: {in_words(name)}"


def _across(frame: Frame) -> str:
    """How wide it is: the radius of a sphere, or two sides as they lie along and across the front."""
    if not frame.drawn:
        return f"radius {m_from_mm(frame.radius_mm):.2f} m"
    wide_mm, deep_mm, _up = np.ptp(frame.nodes_mm, axis=0)
    return f"{m_from_mm(wide_mm):.2f} m wide at the front mark, {m_from_mm(deep_mm):.2f} m deep"


def _stock(cutting: CuttingPlans) -> Iterator[str]:
    """Bars to buy, and how good that number is."""
    for name, plan in cutting.by_section:
        good = "no plan needs fewer" if plan.bars == plan.least_bars else f"at least {plan.least_bars} are needed"
        of = f" of {name}" if name else ""
        yield f"Stock{of}: {plan.bars} bars of {plan.stock_mm:g} mm ({good}), spares included"


def _news(made: Made) -> Iterator[str]:
    """What happened to a kit that carried labels already."""
    if not made.was_labelled:
        return
    count = len(made.added)
    if count:
        named = f"{count} parts added, {made.added[0].id} …" if count > 1 else f"{made.added[0].id} added"
        yield f"{named}; the labels for what is new: paper/{NEW_LABELS}"
    yield "The labelled parts are as they were."
    described = [text for text in made.answers if text.startswith(("frame.", "strut.", "struts.", "hub.", "strength."))]
    if described:
        yield f"Taken as a better description of the same parts: {'; '.join(described)}"
    if any(text.startswith("site.address") for text in made.answers):
        yield ("Labels printed before say the old site address: reprint them, or scan them inside the site's page, "
               "which looks only at the ID")


def plan_lines(kit: Kit) -> Iterator[str]:
    """The lines, most asked-for first; the caution last.

    Raises
    ------
    PlanError, StaticsError
        As `plan.erection_plan`.
    """
    report = way_report(kit, judged_plan(kit))
    effort, worst = report.effort, report.judged.worst
    yield (f"Raising: {report.way}, {len(report.judged.plan.steps)} steps, about {hours(effort.time.total_min)} with "
           f"{kit.design.crew.teams} team{'s' if kit.design.crew.teams > 1 else ''}; {in_words(report.verdict)}")
    said = untested_said(kit.design)
    if said is not None:
        yield (f"Limits: unknown, {in_words(said)}. The order was chosen by numbers of the nearest material, and no "
               f"limit is told. Break three parts or more that look worst; their loads go into [hub] test_loads_n "
               f"(where struts are hinged, pull_test_n) and [strength] strut_loads_n of design.toml, those of "
               f"other sections into their own tables [struts.NAME]; then run make again.")
    else:
        yield (f"Largest use {use_text(worst.worst)} under its weight × {GAMMA_G:g}, after step {worst.step}: "
           f"{in_words(gives_way(worst.verdict.governs))}; hold {effort.holds_at_most} at most. "
           f"All ways: raisebook compare")
    props = report.judged.plan.steps[-1].holds
    if props:
        yield (f"When all is in, the frame does not stand by itself: "
               f"hold or prop {listed(props, most=6)} for as long as it is up")
    yield from plan_pegs(report.judged.plan, kit.design.ground)
    yield from reach_lines(out_of_reach(kit, case_of(kit)), kit.frame.words)
    if said is None:
        yield from fit_lines(kit_fit(kit), kit.frame.words)
    yield ""
    yield SAFETY


def place_text(kit: Kit, place: str, standing: frozenset[str], *, columns: int = 72) -> tuple[str, ...]:
    """Words first, then the picture.

    Parameters
    ----------
    kit : Kit
    place : str
        A hub or strut place.
    standing : frozenset of str
        Places that are filled.
    columns : int, optional
        Width of the picture in characters.
    """
    picture = terminal_lines(frame_view(kit.frame, Showing(standing=standing, this=place)), columns=columns)
    return (*_words(kit, place), *"\n".join(["", *picture]).rstrip().split("\n"))


def _words(kit: Kit, place: str) -> tuple[str, ...]:
    frame, how = kit.frame, kit.design.hub.held_by.assembly
    if place in frame.hub_index:
        return (f"Goes to {place}", sentence(hub_where(frame, frame.hub(place))))
    strut = frame.strut(place)
    return tuple(f"{end_goes(frame, strut, end, how)}, {hub_where(frame, frame.hub(strut.end(end).hub))}"
                 for end in (1, 2))
