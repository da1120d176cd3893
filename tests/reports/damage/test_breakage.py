"""What a raise with breakages teaches: where it broke, how long parts last, how many spares the next one needs."""

from math import prod

import pytest

from fieldapp.base.said import in_words
from fieldapp.reports.damage.breakage_map import breakage_map
from fieldapp.reports.raising import places_of
from fieldapp.reports.readiness.making import making_list
from fieldapp.reports.readiness.spares import spares
from fieldapp.reports.readiness.survival import survival

STEPS = 16
UP = "H12"


@pytest.fixture
def raised(small_bare):
    """A raise up to step 16 in which two hubs broke an arm, one in the first ring and one in the second."""
    shed = small_bare
    shed.log("raise_started", name="first")
    for step in shed.hall.plan.steps[:STEPS]:
        for place in places_of(step):
            shed.log("fitted", shed.part_for(place))
        if step.number == 5:
            shed.log("damaged", shed.part_for("H02"), what="arm_snapped", arm=3)
    shed.log("damaged", shed.part_for(UP), what="arm_cracked", arm=1, severity="bad")
    shed.log("damaged", shed.part_for("S001"), what="dented", severity="slight")
    shed.log("damaged", shed.part_for("H26"), what="soaked", severity="bad")
    return shed


def test_breaks_lie_at_their_places_arms_and_steps(raised):
    found = breakage_map(raised.state, raised.hall.plan, raised.hall.asked)
    by_place = {place.place: place for place in found.places}
    assert len(by_place) == 26 + 65
    assert (by_place["H02"].breaks, by_place["H02"].arms) == (1, ((3, 1),))
    assert (by_place["S001"].breaks, by_place["H26"].breaks) == (1, 0)
    assert (found.in_frame, found.elsewhere, found.most) == (3, 1, 1)
    assert {step.step: step.breaks for step in found.steps if step.breaks} == {5: 1, STEPS: 3}
    frame, asked = raised.hall.kit.frame, raised.hall.asked.handled
    assert by_place[UP].utilisation == pytest.approx(max(asked.arm[frame.strut_index[a.strut], a.end - 1]
                                                    for a in frame.hub(UP).arms))
    assert max(place.utilisation for place in found.places if place.kind == "hub") == pytest.approx(asked.arm.max())
    assert any(place.step > raised.hall.plan.step_for(place.place).number for place in found.places), "carries others"
    rows = {row.place: row for row in found.rows}
    assert [row.place for row in found.rows] == ["H02", UP, "S001"]
    assert (rows["H02"].arm, rows["H02"].step, rows[UP].step) == (3, 5, STEPS)
    arm = frame.hub("H02").arms[2]
    assert rows["H02"].utilisation == pytest.approx(asked.arm[frame.strut_index[arm.strut], arm.end - 1])
    harder = [place for place in found.places
              if place.kind == "strut" and place.utilisation > by_place["S001"].utilisation]
    planned = raised.hall.plan.step_of.keys() & frame.strut_index.keys()
    assert rows["S001"].harder == pytest.approx(len(harder) / len(planned))
    assert in_words(found.said).startswith(f"{found.in_top} of 3 breaks in the frame lie in the quarter of places")


def test_an_empty_log_has_an_empty_map(small_bare):
    bare = small_bare
    found = breakage_map(bare.state, bare.hall.plan, bare.hall.asked)
    assert (found.most, in_words(found.said)) == (0, "No part has broken in the frame so far.")
    assert survival(bare.state) == ()


def test_survival_counts_raises_until_a_part_is_put_out_of_use(raised):
    rows = {(row.kind, row.part_class): row for row in survival(raised.state)}
    frame = raised.hall.kit.frame
    ground = rows["hub", frame.hub("H02").hub_class]
    assert (ground.parts, ground.broke, ground.whole) == (5, 1, ((1, 0.8),))
    assert rows["strut", frame.strut("S001").strut_class].broke == 0


def test_spares_follow_the_history_and_fill_up_what_is_there(raised):
    before = {(row.kind, row.part_class): row for row in _spares(raised, fresh=True).rows}
    found = _spares(raised)
    rows = {(row.kind, row.part_class): row for row in found.rows}
    broken = "hub", raised.hall.kit.frame.hub("H02").hub_class
    assert (rows[broken].broke, rows[broken].fitted) == (1, 5)
    assert rows[broken].expected == pytest.approx((0.5 + 1) / (25 + 5) * rows[broken].places)
    assert rows[broken].expected > before[broken].expected
    assert rows["strut", "A"].expected < before["strut", "A"].expected
    assert found.chance_then >= 0.95 > found.chance_now
    assert sum(row.count for row in found.making.rows) == sum(row.to_make for row in found.rows)
    for row in found.rows:
        one_less = {(r.kind, r.part_class): r.wanted - (r is row) for r in found.rows}
        assert row.wanted == 0 or _chance(raised, one_less) < 0.95
    assert in_words(making_list(raised.hall.kit, ()).said) == ""


def _spares(shed, *, fresh=False):
    state = shed.state if not fresh else type(shed)(shed.hall).state
    return spares(shed.hall.kit, shed.hall.plan, state, now=shed.now)


def _chance(shed, counts):
    """The joint chance of such a choice, by scipy alone."""
    from scipy.stats import nbinom

    from fieldapp.reports.readiness.spares import PRIOR
    found = []
    for row in _spares(shed).rows:
        a, b = PRIOR[row.kind][0] + row.broke, PRIOR[row.kind][1] + row.fitted
        found.append(nbinom.cdf(counts[row.kind, row.part_class], a, b / (b + row.places)))
    return prod(found)
