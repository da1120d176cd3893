"""The page that a scanned label opens: the answer first, then pictures, neighbours, order, buttons."""

import re

import pytest
from flask.testing import FlaskClient

from fieldapp.kit.kit import Kit
from fieldapp.log.book import SiteBook
from fieldapp.plan.plan import Plan

MOST_BYTES = 60_000


def test_a_strut_is_answered_by_its_lower_end(phone: FlaskClient, kit: Kit) -> None:
    strut = kit.frame.strut("S073")
    page = phone.get(f"/P/{kit.by_place['S073'].id}")
    assert page.status_code == 200
    assert phone.heading(page) == f"From {strut.end_1.hub} up to {strut.end_2.hub}", "no counting on the first screen"
    assert f"Lower end into arm {strut.end_1.arm} of {strut.end_1.hub}" in phone.words(page)
    hub = kit.frame.hub(strut.end_1.hub)
    assert hub.number_in_level == 7
    assert "second ring, seventh from the front mark clockwise" in phone.words(page)


def test_the_end_on_the_label_is_the_end_in_the_hand(phone: FlaskClient, kit: Kit) -> None:
    strut = kit.frame.strut("S030")
    page = phone.get(f"/P/{kit.by_place['S030'].id}.2")
    folded = phone.words(page).index("Ends, order, limits, pictures")
    words = f"The end in your hand (upper end) into arm {strut.end_2.arm} of {strut.end_2.hub}"
    assert 0 < phone.words(page).index(words) < folded
    assert f"Lower end into arm {strut.end_1.arm} of {strut.end_1.hub}" in phone.words(page)


def test_a_hub_says_ring_and_count_from_the_front_mark(phone: FlaskClient, kit: Kit) -> None:
    hub = next(h for h in kit.frame.hubs if h.level == 2 and h.number_in_level == 3)
    page = phone.get(f"/P/{kit.by_place[hub.name].id}")
    assert phone.heading(page) == "Second ring, third from the front mark clockwise", "nothing stands that could tell"
    assert "second ring, third from the front mark clockwise" in phone.words(page)
    assert "The marked face looks outward, the arrow points up the frame." in phone.words(page)


def test_ends_of_a_level_strut_are_right_and_left_as_seen_from_outside(phone: FlaskClient, kit: Kit) -> None:
    ground = kit.frame.struts_between(hub.name for hub in kit.frame.level(1))[0]
    x = {end: kit.frame.position_mm(ground.end(end).hub) for end in (1, 2)}
    centre = (x[1] + x[2]) / 2
    outward = centre[:2] - kit.frame.centre_mm[:2]
    to_the_right = (-outward[1], outward[0])    # for somebody outside who looks in: outward turned by +90°
    side = float((x[1] - x[2])[:2] @ to_the_right)
    page = phone.get(f"/place/{ground.name}")
    assert side > 0
    assert f"Right-hand end into arm {ground.end_1.arm} of {ground.end_1.hub}" in phone.words(page)


def test_before_anything_stands_the_second_ring_waits(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    step = next(s for s in plan.steps if s.level == 2 and len(s.waits_for) == 2)
    page = phone.get(f"/P/{kit.by_place[step.hub].id}")
    assert f"Waits for {step.waits_for[0]} and {step.waits_for[1]}" in phone.words(page)
    assert "Fitted anyway" in phone.words(page)


def test_the_first_hub_may_go_in_now(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    page = phone.get(f"/P/{kit.by_place[plan.steps[0].hub].id}")
    assert "May go in now" in phone.words(page)
    assert f"Step 1 of {len(plan.steps)}: hub {plan.steps[0].hub}." in phone.words(page)


def test_neighbours_are_links_with_their_state(phone: FlaskClient, kit: Kit, plan: Plan) -> None:
    first = plan.steps[0].hub
    phone.press(f"/P/{first}", f"/P/{kit.by_place[first].id}/fitted")
    strut = kit.frame.hub(first).arms[0].strut
    page = phone.get(f"/place/{strut}")
    row = re.search(rf'<a class="row" href="/place/{first}">.*?</a>', page.text, re.DOTALL)
    assert row
    assert "Fitted" in row[0]


@pytest.mark.parametrize("typed", ["S073", "s073", "OH-S073", "oh s073", "OHS073"])
def test_any_way_of_writing_leads_to_the_part(phone: FlaskClient, typed: str) -> None:
    assert '<b>S073</b>' in phone.get(f"/p/{typed}").text


def test_a_spare_says_so_and_offers_places_of_its_class(phone: FlaskClient, kit: Kit) -> None:
    spare = next(p for p in kit.parts if p.is_spare and p.kind == "strut")
    page = phone.get(f"/P/{spare.id}")
    assert phone.heading(page) == "A spare: it has no place of its own"
    offered = re.findall(r'href="/place/(S\d+)\?part=', page.text)
    assert offered
    assert all(kit.frame.strut(name).strut_class == spare.part_class for name in offered)


def test_a_spare_goes_in_with_one_more_tap(phone: FlaskClient, kit: Kit, book: SiteBook) -> None:
    spare = next(p for p in kit.parts if p.is_spare and p.kind == "hub")
    place = next(h.name for h in kit.frame.hubs if h.hub_class == spare.part_class)
    page = f"/place/{place}?part={spare.id}"
    offer = phone.press(page, f"/P/{spare.id}/fitted", place=place)
    assert offer.status_code == 409
    assert "Fit it here and exchange the two" in phone.words(offer)
    done = phone.press(page, f"/P/{spare.id}/fitted", place=place, exchange="yes")
    assert done.status_code == 303
    assert book.state.fitted[place] == spare.id


def test_every_part_page_is_small_and_complete(phone: FlaskClient, kit: Kit) -> None:
    for part in kit.parts[::7]:
        page = phone.get(f"/P/{part.id}")
        assert page.status_code == 200
        assert len(page.data) < MOST_BYTES
        assert "<script>" not in page.text
        assert not re.search(r'\sstyle="|\son[a-z]+="', page.text)


def test_an_unknown_id_offers_the_nearest(phone: FlaskClient, kit: Kit) -> None:
    page = phone.get("/P/OH-S703")
    assert page.status_code == 404
    assert "No such part here" in phone.words(page)
    swapped = phone.get("/P/OH-S037-X")
    assert kit.by_place["S037"].id in phone.words(swapped)


def test_a_part_of_another_kit_is_named(phone: FlaskClient, kit: Kit) -> None:
    from fieldapp.kit.ids import format_id

    other = format_id("ZZ", "strut", 73, width=3)
    page = phone.get(f"/P/{other}")
    assert page.status_code == 404
    assert phone.heading(page) == "Of kit ZZ, not of this one"
    assert f"{other}: of kit ZZ, not of this one." in phone.words(page)
    assert kit.by_place["S073"].id not in page.text, "its number here is another part"
    own = kit.by_place["H22"].id
    phone.get(f"/P/{own}")
    assert f"{other}: of kit ZZ, not of this one." in phone.words(f"/P/{other}.1"), "as the second of two scans, too"


def test_what_may_not_be_used_is_neither_fetched_nor_offered_for_another_place(phone: FlaskClient, kit: Kit,
                                                                              plan: Plan) -> None:
    """Drying for some hours, broken, missing: each after it was fetched or offered."""
    place = plan.steps[0].hub
    own = kit.by_place[place]
    dries = {"how": "dried", "by": "carpenter", "where": "", "usable_from": "2026-09-12T16:30"}
    others = [part for part in re.findall(r'name="part" value="([^"]+)"', phone.get(f"/other/{place}").text)
              if part != own.id]
    assert len(others) > 2
    assert f"Fetch {own.id}" in phone.words(f"/place/{place}")
    assert phone.press(f"/repair/{own.id}", f"/repair/{own.id}", **dries).status_code == 303
    assert phone.press(f"/repair/{others[0]}", f"/repair/{others[0]}", **dries).status_code == 303
    phone.post(f"/damage/{others[1]}", content_type="multipart/form-data", data={
        "key": "d" * 20, "what": "arm_snapped", "where": "1", "severity": "bad"})
    assert "Fetch" not in phone.words(f"/place/{place}")
    assert f"Find another part for {place}" in phone.words(f"/place/{place}")
    assert "Not dry yet: usable from 16:30" in phone.words(f"/P/{own.id}")
    assert "May go in now" not in phone.words(f"/P/{own.id}") + phone.words(f"/place/{place}")
    offered = re.findall(r'name="part" value="([^"]+)"', phone.get(f"/other/{place}").text)
    assert offered
    assert not {own.id, *others[:2]} & set(offered)
