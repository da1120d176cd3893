"""Answers that mean nothing are named before anything is computed from them; odd frames that people build are taken."""

from typing import Any

import pytest

from fieldapp.base.errors import DesignError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame import build_frame
from fieldapp.frame.design import Design
from fieldapp.frame.reason import WITHIN, refuse_beyond_reason


def with_answer(key: str, value: Any) -> Design:
    section, _, name = key.partition(".")
    base = orchard_hall()
    changed = getattr(base, section).model_copy(update={name: value})
    return base.model_copy(update={section: changed})


@pytest.mark.parametrize(("key", "value"), [
    ("hub.arm_depth_mm", 1e-300), ("hub.ply_mm", 1e-9), ("hub.test_loads_n", (300.0, 1e300)),
    ("hub.test_loads_n", (1e-300,)), ("ground.pull_test_up_n", (1e200, 300.0)), ("crew.minutes_per_step", 1e-9)])
def test_an_answer_beyond_all_reason_is_named_with_its_bounds(key: str, value: Any) -> None:
    design = with_answer(key, value)
    with pytest.raises(DesignError, match=rf"design\.toml: {key} is .*, beyond all reason; .* from .* to "):
        refuse_beyond_reason(design, build_frame(design), "design.toml")


def test_a_frame_of_which_most_stays_empty_is_another_frame() -> None:
    frame = build_frame(orchard_hall())
    names = tuple(hub.name for hub in frame.hubs)
    for left_out in (names, names[1:], names[: len(names) // 2 + 1]):
        with pytest.raises(DesignError, match="allowed is less than half of them"):
            refuse_beyond_reason(with_answer("raising.leave_out", left_out), frame, "design.toml")
    refuse_beyond_reason(with_answer("raising.leave_out", names[:6]), frame, "design.toml")


def test_paper_straws_and_steel_masts_are_within_reason() -> None:
    for key, value in (("strut.wall_mm", 0.25), ("hub.arm_depth_mm", 5.0), ("hub.mass_kg", 0.004),
                       ("hub.test_loads_n", (2.0, 3.0, 2.5)), ("hub.test_loads_n", (400_000.0,))):
        design = with_answer(key, value)
        refuse_beyond_reason(design, build_frame(design), "design.toml")
    assert all(bound.low < bound.high for bound in WITHIN)
