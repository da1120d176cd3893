"""The step card: the first screen in few words, one press, ticks by scanning, taking, holding, slips."""

import re

from first_screen import MOST_WORDS, first_words

from fieldapp.log.duties import HOLD_LAPSES


def ticked(page):
    """What the press of a card sends if nothing is unticked."""
    return re.findall(r'name="in" value="([^"]+)" checked', page.text)


def test_a_card_says_all_in_one_screen_and_one_press_does_it(phone, raised, plan, kit, book):
    raised(22)
    step = plan.steps[22]
    page = phone.get(f"/step/{step.hub}")
    assert phone.heading(page) == "On top of H08 and H09, left of H22"
    assert len(first_words(page.text)) <= MOST_WORDS
    assert {pair.split()[0] for pair in ticked(page)} == set(step.places)
    hub = kit.by_place[step.hub].id
    phone.get(f"/P/{hub}")
    phone.get(f"/p/{kit.by_place[step.struts[0].strut].id}")
    assert 'class="tick read"' in phone.get(f"/step/{step.hub}").text
    answer = phone.press(f"/step/{step.hub}", f"/step/{step.hub}", **{"in": ticked(page)})
    assert answer.status_code == 303
    assert book.state.entries[-1].data["scanned"] == [hub], "typed on the page is not scanned"
    assert answer.location.startswith(f"/step/{plan.steps[23].hub}?done="), "the next card comes by itself"
    assert f'aria-label="Written down: {step.struts[0].strut} and 3 more."' in phone.get(answer.location).text


def test_what_was_not_fitted_is_unticked_and_the_rest_stays_open(phone, raised, plan, kit, book):
    raised(22)
    step = plan.steps[22]
    first, *_rest = ticked(phone.get(f"/step/{step.hub}"))
    phone.press(f"/step/{step.hub}", f"/step/{step.hub}", **{"in": [first]})
    assert [place for place in step.places if book.state.is_fitted(place)] == [first.split()[0]]
    assert first not in ticked(phone.get(f"/step/{step.hub}"))
    assert "Nothing is ticked." in phone.words(phone.press(f"/step/{step.hub}", f"/step/{step.hub}"))


def test_a_step_not_yet_due_has_no_great_button(phone, raised, plan):
    raised(22)
    later = plan.steps[40].hub
    page = phone.get(f"/step/{later}")
    assert 'class="press go"' not in page.text.split('<div class="card">')[1].split("<details")[0]
    assert "It was done all the same" in page.text.split('id="parts"')[1]
    assert phone.get("/step/H99").status_code == 404


def test_a_step_in_hand_is_shown_to_others_who_get_another(phone, other_phone, raised, plan):
    raised(22)
    mine = plan.steps[22].hub
    assert phone.get("/step").location == f"/step/{mine}"
    phone.press(f"/step/{mine}", f"/step/{mine}/take")
    assert "Give it back" in phone.words(f"/step/{mine}")
    assert "In hand: phone " in other_phone.words(f"/step/{mine}")
    assert other_phone.get("/step").location == "/", "nothing else may go on"
    assert f"All that may go on is in hand: {mine} (phone " in other_phone.words("/")
    assert phone.get("/step").location == f"/step/{mine}"
    assert other_phone.press(f"/step/{mine}", f"/step/{mine}/take").status_code == 409
    phone.press(f"/step/{mine}", f"/step/{mine}/leave")
    assert "I take it" in other_phone.words(f"/step/{mine}")


def test_phones_that_wrote_nothing_get_different_steps_and_a_team_gets_its_own_run(app, raised, plan, book):
    raised(5)
    from fieldapp.web.raising.steps import open_steps

    with app.test_request_context():
        opened = open_steps()
    phones = [app.test_client() for _step in opened]
    for phone in phones:
        phone.get("/find")          # the first page brings the cookie
    assert sorted(phone.get("/step").location for phone in phones) == sorted(f"/step/{name}" for name in opened)
    phones[0].post("/me", data={"who": "crew 1", "team": "2", "theme": "auto"})
    assert phones[0].get("/step").location == f"/step/{opened[-1]}"
    assert "Your team" in phones[1].get("/joined").text, "asked at joining"


def test_whoever_holds_a_hub_is_asked_anew_and_the_chief_is_told(phone, other_phone, raised, plan, app, book):
    raised(22)
    from fieldapp.log.duties import ASKS_BEFORE
    from fieldapp.web.raising.stage_now import stage_now

    [hub] = stage_now(book.site, book.state).holds
    assert f"{hub} who holds it?" in phone.words("/")
    phone.press("/", f"/hold/{hub}/take")
    assert "holds it since" in other_phone.words("/")
    assert "Do you still hold it?" not in phone.words("/")
    site = app.extensions["raisebook"]
    tags = [phone.get(f"/api/state?since={book.state.last_number}").headers["ETag"]]
    for later, words in ((HOLD_LAPSES - ASKS_BEFORE, "Do you still hold it?"),
                         (HOLD_LAPSES, "held it and has not said so since 10:14. Go and see who holds it.")):
        clock = site.clock() + later
        app.extensions["raisebook"] = type(site)(site.book, lambda clock=clock: clock, site.photos, site.stick)
        poll = phone.get(f"/api/state?since={book.state.last_number}", headers={"If-None-Match": tags[-1]})
        assert poll.status_code == 200, "no entry, and yet the answer changes"
        tags.append(poll.headers["ETag"])
        assert words in phone.words("/")
        assert f'data-duties="{poll.json["duties"]}"' in phone.get("/").text
    assert phone.get(f"/api/state?since={book.state.last_number}",
                     headers={"If-None-Match": tags[-1]}).status_code == 304


def test_the_gust_stays_on_every_page_while_anything_stands(phone, raised):
    assert 'class="gust"' not in phone.get("/").text
    raised(22)
    for path in ("/", "/find", "/log", "/place/S001", "/me"):
        assert re.search(r'class="gust".*?Gusts: [\d.]+ m/s add nothing, [\d.]+ m/s get clear\.', phone.get(path).text,
                         re.DOTALL), path
