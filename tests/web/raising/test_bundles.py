"""Striking into bundles: many parts at once, how they came in, what is still out."""

from collections.abc import Callable

from flask.testing import FlaskClient

from fieldapp.log.book import SiteBook
from fieldapp.plan.plan import Plan

Raised = Callable[[int], None]


def test_ticked_parts_go_in_once_and_wet_ones_are_watched(phone: FlaskClient, chief: FlaskClient, raised: Raised,
                                                          book: SiteBook) -> None:
    chief.press("/raise", "/raise/start", name="Harvest week")
    raised(3)
    chief.press("/raise/strike", "/raise/strike")
    parts = [part for place, part in book.state.fitted.items() if place.startswith("S")]
    key = phone.key("/bundle?name=A1")
    data = {"key": key, "name": "A1", "part": parts, "came_in": ["wet", "dirty"]}
    answers = [phone.post("/bundle", data=data) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert sum(entry.kind == "stored" for entry in book.state.entries) == 2
    assert {book.state.parts[part].condition for part in parts} == {"watch"}
    assert "Written down: 2 parts are in bundle A1." in phone.words(answers[0].location)
    page = phone.words("/bundles")
    assert "2 parts · 2 to dry" in page
    assert "Still out: 3 parts" in page


def test_what_went_in_by_step_and_was_not_scanned_is_said_of_bundles_rounds_and_on_the_record(
        phone: FlaskClient, chief: FlaskClient, book: SiteBook, plan: Plan) -> None:
    from fieldapp.kit.checklist_defaults import default_checks
    from fieldapp.reports.inspection.record import inspection_record
    from fieldapp.web.inspection.paper import record_sheets

    chief.press("/raise", "/raise/start", name="Harvest week")
    first = plan.steps[0].places[0]
    hub = book.state.allocation[first]
    phone.press(f"/step/{first}", f"/step/{first}", **{"in": f"{first} {hub}"})
    chief.press("/raise/strike", "/raise/strike")
    phone.press(f"/P/{hub}", f"/P/{hub}/taken-down", sure="yes")
    assert f"{first} · not scanned" in phone.words("/bundle?name=A1")
    phone.post("/bundle", data={"key": phone.key("/bundle?name=A1"), "name": "A1", "part": [hub], "came_in": ["dry"]})
    assert f"By step, not scanned: {first}. Read their labels." in phone.words("/bundle?name=A1")
    chief.press("/raise", "/raise/end")
    chief.press("/inspect/round", "/inspect/round/open", name="Spring")
    assert f"By step, not scanned: 1 {hub.split('-')[1]}" in phone.words("/inspect")
    record = inspection_record(book.state, default_checks(book.site.kit.design))
    assert record is not None
    assert ("By step, not scanned", first) in record_sheets(record).facts


def test_a_part_that_came_out_asks_for_its_bundle_and_what_stands_is_not_among_the_loose(
        phone: FlaskClient, chief: FlaskClient, raised: Raised, book: SiteBook) -> None:
    chief.press("/raise", "/raise/start", name="Harvest week")
    raised(3)
    chief.press("/raise/strike", "/raise/strike")
    out, stands = book.state.fitted["S002"], book.state.fitted["S001"]
    phone.press(f"/P/{out}", f"/P/{out}/taken-down", sure="yes")
    assert phone.heading(f"/P/{out}") == "Into a bundle"
    assert "May go in now" not in phone.words(f"/P/{out}")
    loose = phone.get("/bundle?name=A1").text.split("May come out now")[0]
    assert f'value="{out}"' in loose
    assert f'value="{stands}"' not in loose
    phone.press(f"/store/{out}", f"/store/{out}", new="A1", came_in="wet")
    assert "In bundle A1" in phone.words(f"/P/{out}")
    assert f"{out} stored: in bundle A1, wet" in phone.words("/log")


def test_a_bundle_without_ticks_is_asked_back(phone: FlaskClient, book: SiteBook) -> None:
    answer = phone.press("/bundle?name=A1", "/bundle", name="A1")
    assert answer.status_code == 409
    assert "Name the bundle and tick at least one part." in phone.words(answer)
    assert book.last_number == 0


def test_one_part_at_a_time_with_the_bundle_of_before(phone: FlaskClient, book: SiteBook) -> None:
    phone.press("/store/H01", "/store/H01", new=" Box  7 ", came_in="dry")
    assert book.state.parts[book.state.allocation["H01"]].bundle == "Box 7"
    assert 'value="Box 7" checked' in phone.get("/store/H02").text
    phone.press("/store/H02", "/store/H02", name="Box 7", came_in="damaged", words="arm bent")
    assert book.state.parts[book.state.allocation["H02"]].condition == "quarantined"


def test_the_raise_ends_when_all_is_out(phone: FlaskClient, chief: FlaskClient, raised: Raised,
                                        book: SiteBook) -> None:
    chief.press("/raise", "/raise/start", name="Harvest week")
    raised(1)
    chief.press("/raise/strike", "/raise/strike")
    early = chief.post("/raise/end", data={"key": "k" * 20})
    assert "the frame still holds H01 (1 in all)" in chief.words(early).lower().replace("h01", "H01")
    part = book.state.fitted["H01"]
    answer = phone.press(f"/P/{part}", f"/P/{part}/taken-down", sure="yes")
    assert "Into a bundle" in phone.words(answer.location)
    assert phone.heading("/") == "Everything is out of the frame."
    assert chief.press("/raise", "/raise/end").status_code == 303
    assert book.state.phase == "stores"
    assert "What happened to" in phone.heading(f"/history/{part}")
    assert "Harvest week" in phone.words(f"/history/{part}")
