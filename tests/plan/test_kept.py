"""A plan kept beside the kit is believed only as it was written."""

import re

import pytest

from fieldapp.plan.kept import kept_or, kept_plan, plan_file
from fieldapp.plan.order import erection_plan


@pytest.fixture
def kept(tmp_path, small_kit):
    """A folder with a plan, and the plan."""
    design = small_kit.design
    plan = kept_or(tmp_path, design, lambda: erection_plan(small_kit))
    return tmp_path, design, plan


def never():
    """For a plan that is there."""
    raise AssertionError("worked out although it was kept")


@pytest.mark.parametrize("spoil", [
    lambda text: re.sub(r'"value": (\d)', r'"value": 9\1', text, count=1),
    lambda text: text.replace('"hub": "H02"', '"hub": "H03"', 1),
    lambda text: re.sub(r",\n[^\n]*\n\]", "\n]", text),
    lambda text: text[:len(text) // 2], lambda text: text.replace('"digest"', '"was"', 1)],
    ids=["a limit raised", "another hub", "a step less", "cut short", "of an older program"])
def test_a_plan_that_is_not_as_it_was_written_is_worked_out_again(kept, spoil):
    folder, design, plan = kept
    path = plan_file(folder, design)
    written = path.read_bytes()
    assert kept_or(folder, design, never).steps == plan.steps
    path.write_text(spoil(written.decode()), encoding="utf-8")
    assert path.read_bytes() != written
    assert kept_plan(folder, design) is None
    assert kept_or(folder, design, lambda: plan) is plan
    assert path.read_bytes() == written
