"""Answers that no frame has, though nothing forbids them: what is computed from them means nothing, if it ends at all.

Asked where a new kit is made; kits that are labelled already are read with whatever they say.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from fieldapp.base.errors import DesignError
from fieldapp.frame.design import Design
from fieldapp.frame.frame import Frame
from fieldapp.frame.questions import DesignSection
from fieldapp.frame.struts import table_of


@dataclass(frozen=True, slots=True)
class AnswerBound:
    """From where to where an answer means something."""

    key: str
    low: float
    high: float


WITHIN = (
    AnswerBound("frame.tolerance_mm", 0.001, 20), AnswerBound("frame.tolerance_deg", 0.0001, 5),
    AnswerBound("strut.wall_mm", 0.05, 250), AnswerBound("hub.ply_mm", 0.1, 100),
    AnswerBound("hub.arm_depth_mm", 1, 1000), AnswerBound("hub.mass_kg", 0.001, 100),
    AnswerBound("hub.test_lever_mm", 5, 10_000), AnswerBound("hub.test_loads_n", 0.5, 1e6),
    AnswerBound("hub.pull_test_n", 0.5, 1e6), AnswerBound("strength.strut_span_mm", 5, 20_000),
    AnswerBound("strength.strut_loads_n", 0.5, 1e6),
    AnswerBound("strut.youngs_modulus_mpa", 10, 1e6), AnswerBound("strut.shear_modulus_mpa", 1, 1e6),
    AnswerBound("strut.density_kg_m3", 10, 25_000), AnswerBound("strut.bending_strength_mpa", 0.1, 5000),
    AnswerBound("strut.compression_strength_mpa", 0.1, 5000), AnswerBound("hub.youngs_modulus_mpa", 10, 1e6),
    AnswerBound("hub.shear_modulus_mpa", 1, 1e6), AnswerBound("hub.density_kg_m3", 10, 25_000),
    AnswerBound("hub.design_strength_mpa", 0.1, 5000), AnswerBound("crew.minutes_per_step", 0.01, 600),
    AnswerBound("ground.pull_test_up_n", 0.5, 1e6), AnswerBound("ground.pull_test_sideways_n", 0.5, 1e6),
)
"""Far outside of what is built: paper straws and steel masts lie within.
Source: our choice. Test: tests/frame/test_reason.py"""


OF_SECTIONS = (
    AnswerBound("struts.pull_test_n", 0.5, 1e6), AnswerBound("struts.strut_span_mm", 5, 20_000),
    AnswerBound("struts.strut_loads_n", 0.5, 1e6), AnswerBound("struts.test_lever_mm", 5, 10_000),
    AnswerBound("struts.test_loads_n", 0.5, 1e6),
)
"""The same of [struts.NAME], which stand elsewhere for [strut].
Source: our choice. Test: tests/frame/test_reason.py"""

LEAST_LEFT = 0.5
"""Share of the hubs that a frame keeps beside doors and windows: of a half, another frame can be made.
Source: our choice. Test: tests/frame/test_reason.py"""


def refuse_beyond_reason(design: Design, frame: Frame, source: str) -> None:
    """DesignError that names every answer that means nothing; `source` names the file."""
    found = [*_beyond(design), *_nothing_left(design, frame)]
    if found:
        raise DesignError("\n".join(f"{source}: {line}" for line in found))


def _beyond(design: Design) -> Iterator[str]:
    named = [(of, table_of(of.name)) for of in design.struts]
    for bound in WITHIN:
        section = bound.key.partition(".")[0]
        for of, table in ((getattr(design, section), section), *(named if section == "strut" else ())):
            yield from _out_of_bounds(of, table, bound)
    for struts, table in named:
        for bound in OF_SECTIONS:
            yield from _out_of_bounds(struts, table, bound)


def _out_of_bounds(of: DesignSection, table: str, bound: AnswerBound) -> Iterator[str]:
    """The answer of one section, if it means nothing."""
    name = bound.key.partition(".")[2]
    answer = getattr(of, name)
    for value in answer if isinstance(answer, tuple) else (answer,):
        if value is not None and not bound.low <= value <= bound.high:
            yield (f"{table}.{name} is {value:.3g}, beyond all reason; what is computed means something from "
                   f"{bound.low:g} to {bound.high:g}. {type(of).model_fields[name].title}")
            return


def _nothing_left(design: Design, frame: Frame) -> Iterator[str]:
    named, hubs = len(set(design.raising.leave_out)), len(frame.hubs)
    if hubs - named < LEAST_LEFT * hubs:
        yield (f"raising.leave_out names {named} of {hubs} hubs; allowed is less than half of them. Leave out what "
               f"makes a door or a window; for a smaller frame choose another cut or frequency.")
