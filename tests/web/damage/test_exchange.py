"""A part exchanged in the standing frame, on phones: what is held is said before anything is out; ticks are entries."""

import re
from collections.abc import Callable

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from fieldapp.log.book import SiteBook

STEPS = 25


def _broken(phone: FlaskClient, book: SiteBook, place: str) -> TestResponse:
    part = book.state.fitted[place]
    said = {"what": "arm_snapped", "where": "2", "severity": "bad", "key": phone.key(f"/damage/{part}")}
    return phone.get(phone.post(f"/damage/{part}", data=said, content_type="multipart/form-data").location)


def _press(phone: FlaskClient, page: str, words: str) -> TestResponse:
    """The form of a page whose button begins so, with its hidden fields."""
    form = next(form for form in re.findall(r"<form.*?</form>", phone.get(page).text, re.DOTALL) if words in form)
    data = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', form))
    where = re.search(r'action="([^"]+)"', form)
    assert where
    return phone.post(where[1], data={**data, "held": "yes"}, headers={"Origin": "http://localhost"})


def test_a_broken_hub_is_exchanged_act_by_act_and_everybody_is_told(
        phone: FlaskClient, other_phone: FlaskClient, chief: FlaskClient, raised: Callable[[int], None], book: SiteBook
) -> None:
    raised(STEPS)
    answer = phone.words(_broken(phone, book, "H20"))
    assert "H20 can be exchanged while the frame stands." in answer
    before = phone.words("/exchange/H20")
    assert before.index("Building stops") < before.index("One of them keeps H20 in hand") < before.index("Then, in")
    broken = book.state.fitted["H20"]
    held = re.findall(r'<input[^>]*name="held"[^>]*>', phone.get("/exchange/H20").text)
    assert ["required" in one for one in held] == [True]
    assert phone.post("/exchange/H20/begin", data={"key": "n" * 20}).status_code == 409
    assert _press(phone, "/exchange/H20", "Begin").status_code == 303
    running = book.state.exchanging
    assert running is not None
    struts = [arm.strut for arm in book.site.kit.frame.hub("H20").arms if book.state.is_fitted(arm.strut)]
    assert set(running.takes) == {"H20", *struts}
    assert running.takes[-1] == "H20"
    start = other_phone.words("/")
    assert other_phone.heading("/") == "H20 is being exchanged: building stops."
    assert "May go in now" not in start
    for hub in running.holds:
        assert hub in start
    said = phone.words(f"/answer/{book.state.parts[book.state.fitted['H20']].defects[0].entry}")
    assert "H20 is being exchanged: building stops." in said
    assert "hold nothing more" not in said
    assert "Which part goes to" not in said
    assert "Held or carried: stop at any gust." in start
    assert 'class="press go"' in phone.get("/exchange/H20").text
    other_phone.post("/stop", data={"key": "s" * 20, "words": ""})
    assert "Not now: building is stopped" in phone.words("/exchange/H20")
    assert 'class="press go"' not in phone.get("/exchange/H20").text       # what was done is written down all the same
    chief.press("/board", "/stop/lift")
    for place in running.takes:
        if place in (running.takes[0], "H20"):          # a sound strut, and the broken hub: part and place say the same
            for path in (f"/P/{book.state.fitted[place]}", f"/place/{place}"):
                assert "May come out now" in other_phone.words(path), path
        short = book.state.fitted[place].split("-")[1]
        assert _press(phone, "/exchange/H20", f"{short} is out").status_code == 303
        assert not book.state.is_fitted(place)
    spare = next(part for part in re.findall(r'name="part" value="([^"]+)"', phone.get("/exchange/H20").text))
    assert phone.post("/other/H20", data={"key": "k" * 20, "part": spare}).location.startswith("/exchange/")
    assert "Let go of nothing" in phone.words(phone.post("/exchange/H20/end", data={"key": "e" * 20}))
    for place in reversed(running.takes):
        assert _press(phone, "/exchange/H20", f"is in at {place}").status_code == 303
    assert book.state.fitted["H20"] == spare
    assert _press(phone, "/exchange/H20", "It is over").status_code == 303
    assert book.state.exchanging is None
    assert "May go in now" in other_phone.words("/")
    out = other_phone.words(f"/P/{broken}")
    assert "It goes nowhere: keep it apart" in out
    assert "It could fill" not in out


def test_what_nobody_reaches_is_offered_no_parts_and_the_way_back_is_said(
        phone: FlaskClient, raised: Callable[[int], None], book: SiteBook) -> None:
    raised(48)
    place = book.site.plan.steps[46].hub
    answer = phone.words(_broken(phone, book, place))
    assert f"{place} cannot be taken out safely as it stands: strike" in answer
    assert "nobody reaches it" in answer
    assert "Which part goes to" not in answer
    refused = phone.post(f"/exchange/{place}/begin", data={"key": "b" * 20, "held": "yes"})
    assert refused.status_code == 409
    assert "take nothing out" in phone.words(refused)
    assert phone.post("/exchange/H20/tick", data={"key": "t" * 20, "at": "H20", "goes": "out"}).status_code == 409
    assert phone.get("/exchange/H99").status_code == 404


def test_an_arm_tapped_in_the_drawing_is_chosen_where_it_is_asked_what_happened(
        phone: FlaskClient, raised: Callable[[int], None], book: SiteBook) -> None:
    raised(18)
    part = book.state.fitted["H01"]
    links = re.findall(rf'<a href="(/damage/{part}\?where=(\d))"', phone.get("/place/H01").text)
    assert [int(number) for _href, number in links] == [arm.number for arm in book.site.kit.frame.hub("H01").arms]
    chosen = phone.get(links[1][0]).text
    assert 'value="2" checked' in chosen
    assert all(f'href="{href}"' in chosen for href, _number in links)       # its drawing chooses, too
    assert "?where=" not in phone.get(f"/place/{book.site.plan.steps[-1].hub}").text


def test_a_struts_end_tapped_in_the_drawing_is_chosen_too(
        phone: FlaskClient, raised: Callable[[int], None], book: SiteBook) -> None:
    raised(18)
    strut = next(strut for strut in book.site.kit.frame.struts if book.state.is_fitted(strut.name))
    part = book.state.fitted[strut.name]
    for page in (f"/P/{part}", f"/place/{strut.name}"):
        drawn = re.findall(rf'<a href="(/damage/{part}\?where=[12])" aria-label="End', phone.get(page).text)
        written = re.findall(rf'<a class="press small" href="(/damage/{part}\?where=[12])">', phone.get(page).text)
        assert drawn == written == [f"/damage/{part}?where=1", f"/damage/{part}?where=2"]
    assert 'value="2" checked' in phone.get(drawn[1]).text
    assert f"/damage/{part}?where=1" in phone.get(f"/place/{strut.end_1.hub}").text
