"""Two scans in a row, fitting out of turn, and parts in another's place."""

from collections.abc import Callable

from flask.testing import FlaskClient

from fieldapp.base.said import listed
from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.plan import Plan
from fieldapp.web.parts.part import IN_A_ROW_S, Scans, read_scans


def test_a_pair_whose_step_waits_is_not_told_to_be_put_together(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    hub = kit.frame.strut("S073").end_1.hub
    phone.get(f"/P/{kit.by_place[hub].id}")
    page = phone.words(f"/P/{kit.by_place['S073'].id}")
    waits = listed(plan.step_for("S073").waits_for)
    assert f"With {hub}: Right pair. Not yet: first {waits}." in page
    assert "Yes. Push" not in page


def test_a_strut_after_its_hub_is_told_its_arm_also_after_a_refresh(phone: FlaskClient, kit: Kit, plan: Plan,
                                                                    raised: Callable[[int], None]) -> None:
    raised(plan.step_of["S073"])
    strut = kit.frame.strut("S073")
    hub, arm = strut.end_1.hub, strut.end_1.arm
    phone.get(f"/P/{kit.by_place[hub].id}")
    for _ in range(2):
        page = phone.words(f"/P/{kit.by_place['S073'].id}")
        assert f"With {hub}: Yes. Push end 1 of S073 onto arm {arm} of {hub}." in page


def test_a_strut_of_the_class_is_fitted_there_at_one_press(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    hub = kit.frame.hub("H33")
    here = {arm.strut for arm in hub.arms}
    arm = hub.arms[0]
    other = next(s for s in kit.frame.struts if s.strut_class == kit.frame.strut(arm.strut).strut_class
                 and s.name not in here)
    phone.get(f"/P/{kit.by_place['H33'].id}")
    part = kit.by_place[other.name].id
    page = phone.get(f"/P/{part}")
    assert "No, not as planned." in phone.words(page)
    assert f"Fit {other.name} at " in phone.words(page)
    place = phone.words(page).split(f"Fit {other.name} at ")[1].split(" ")[0]
    assert phone.press(f"/P/{part}", f"/P/{part}/fitted", place=place, exchange="yes").status_code == 303
    assert book.state.fitted[place] == part


def test_a_strut_that_does_not_go_there_says_where_each_goes(phone: FlaskClient, kit: Kit) -> None:
    ground = kit.frame.hub("H01")
    classes = {kit.frame.strut(arm.strut).strut_class for arm in ground.arms}
    other = next(s for s in kit.frame.struts if s.strut_class not in classes)
    phone.get(f"/P/{kit.by_place['H01'].id}")
    page = phone.words(f"/P/{kit.by_place[other.name].id}")
    assert f"No. Why {other.name} goes from {other.end_1.hub} (end 1) to {other.end_2.hub} (end 2)." in page
    assert "H01 still takes" in page


def test_a_strut_that_is_in_is_no_longer_asked_about(phone: FlaskClient, kit: Kit) -> None:
    strut = kit.frame.strut("S001")
    elsewhere = next(hub.name for hub in kit.frame.hubs if "S001" not in {arm.strut for arm in hub.arms})
    part = kit.by_place["S001"].id
    phone.press(f"/P/{part}", f"/P/{part}/fitted", place="S001")
    assert "With S001:" not in phone.words(f"/P/{kit.by_place[elsewhere].id}")
    phone.get(f"/P/{part}")
    assert "Yes. Push end 1 of S001" in phone.words(f"/P/{kit.by_place[strut.end_1.hub].id}")


def test_two_errands_are_no_pair() -> None:
    early = Scans("A", 1000)
    assert early.then("B", 1000 + IN_A_ROW_S).pair == "A"
    assert early.then("B", 1001 + IN_A_ROW_S).pair is None
    assert read_scans("A 1 B 2 C").pair is None
    assert read_scans("A ² B 3").pair is None


def test_out_of_turn_says_what_follows(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    step = plan.steps[-1]
    page = phone.words(f"/place/{step.hub}")
    waits = f"{', '.join(step.waits_for[:-1])} and {step.waits_for[-1]}"
    assert f"Waits for {waits} Crown" in page
    assert f"Fitted anyway, nothing but hands holds {step.hub}." in page
    assert "Once it is in, hold" in page
    assert "Fitted anyway" in page


def test_another_class_is_refused_with_the_difference(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    own, other = kit.by_place["S073"], next(p for p in kit.parts if p.kind == "strut"
                                             and p.part_class != kit.by_place["S073"].part_class)
    answer = phone.press(f"/P/{other.id}", f"/P/{other.id}/fitted", place="S073")
    assert answer.status_code == 409
    over = (other.cut_length_mm or 0.0) - (own.cut_length_mm or 0.0)
    size = f"{abs(over):.0f}" if abs(over) >= 10 else f"{abs(over):.1f}"
    assert f"does not fit place S073: {size} mm too {'long' if over > 0 else 'short'}." in phone.words(answer)
    assert book.last_number == 0
