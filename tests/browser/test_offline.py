"""Out of reach of the laptop: what is written down waits in the phone, survives it, and goes out in order, once."""

import pytest
from playwright.sync_api import expect

from fieldapp.kit.ids import parse_part_id
from fieldapp.kit.numbering import compact

WAITS = "[data-waiting] [data-count]"
OUT = "[data-out-of-reach]"

HOLD = "Hold what is there, take nothing out, and come into reach."
WRONG = {"S999": "S999 is no part of this kit: nothing was kept. Look at the label again.",
         "OH-S073-D": "OH-S073-D is no part of this kit: nothing was kept. Look at the label again.",
         "xy s073 3": "XY-S073-3: of kit XY, not of this one. Put the part aside, or look at the label again."}


def _look_at(phone):
    phone.evaluate("dispatchEvent(new Event('focus'))")      # as when the phone is taken in the hand


def _out_of_reach(phone):
    phone.context.set_offline(True)
    _look_at(phone)
    expect(phone.locator(OUT)).to_be_visible(timeout=15_000)


def _in_reach(phone):
    phone.context.set_offline(False)
    _look_at(phone)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)


def _quick(phone, part, act="Fitted"):
    phone.fill("#quick-id", part)
    phone.locator(OUT).get_by_role("button", name=act).click()


@pytest.fixture
def first_hubs(site):
    _, book, _ = site
    return [step.hub for step in book.site.plan.steps[:3]]


def test_three_entries_made_out_of_reach_arrive_in_order_and_once(site, new_phone, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/place/{first_hubs[0]}")
    _out_of_reach(phone)
    phone.locator("main").get_by_role("button", name="Fitted").click()
    expect(phone.locator("main [data-kept-says]")).to_contain_text("Kept in this phone.")
    for hub in first_hubs[1:]:
        _quick(phone, hub)
    expect(phone.locator(WAITS)).to_have_text("3 entries wait in this phone")
    assert book.last_number == 0
    _in_reach(phone)
    assert [entry.place for entry in book.entries()] == first_hubs
    assert all(entry.sent_at is not None for entry in book.entries())
    expect(phone.locator("main")).to_contain_text("Fitted")


def _until_written(book, phone, count):
    """Wait for the log: a page that has just come shows what waits only once its scripts have run."""
    for _ in range(150):
        if book.last_number >= count:
            return
        phone.wait_for_timeout(100)


def test_a_phone_that_died_meanwhile_loses_nothing(site, new_phone, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/find")
    _out_of_reach(phone)
    _quick(phone, first_hubs[0])
    _quick(phone, first_hubs[1])
    expect(phone.locator(WAITS)).to_have_text("2 entries wait in this phone")
    context = phone.context
    phone.close()
    assert book.last_number == 0
    context.set_offline(False)
    again = context.new_page()
    again.goto(address)
    _until_written(book, again, 2)
    expect(again.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    assert [entry.place for entry in book.entries()] == first_hubs[:2]


def test_an_answer_that_got_lost_on_its_way_counts_once(site, new_phone, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/place/{first_hubs[0]}")

    def swallow(route):
        route.fetch(max_redirects=0)      # the laptop hears it, the phone never learns
        route.abort()

    phone.route("**/fitted", swallow, times=1)
    phone.get_by_role("button", name="Fitted").click()
    expect(phone.locator("main")).to_contain_text("Sits here", timeout=15_000)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    assert [entry.place for entry in book.entries()] == first_hubs[:1]


def test_a_person_who_presses_on_at_once_gets_there_and_the_entry_too(site, new_phone, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/place/{first_hubs[0]}")
    phone.route("**/fitted", lambda route: route.abort(), times=1)
    with phone.expect_request("**/fitted"):     # sent once it is kept in the phone
        phone.get_by_role("button", name="Fitted").click()
    phone.goto(f"{address}/find")
    _until_written(book, phone, 1)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    expect(phone.locator("h1")).to_have_text("Which part is in your hand?")
    assert [entry.place for entry in book.entries()] == first_hubs[:1]


def _knows_what_the_laptop_takes(phone, kit):
    """No text that the laptop takes for a part is refused by a phone."""
    forms = (str, str.lower, compact, lambda text: f"HTTP://OLD.ADDRESS/P/{text}.1?x=1", lambda text: text[:-2],
             lambda text: text[3:].replace("0", "").replace("-", ""), lambda text: f"{text[3:-2]}.2")
    texts = [form(part.id) for part in kit.parts[::5] for form in forms] + list(WRONG)
    taken = [text for text in texts if parse_part_id(text, kit).found]
    refused = phone.evaluate("""async (texts) => {
        const beside = document.querySelector("script[src$='/quick.js']").src;
        const { trouble } = await import(beside.replace("quick.js", "known_ids.js"));
        const known = JSON.parse(document.querySelector("form[data-quick]").dataset.known);
        return texts.filter((text) => trouble(text, known).what);
    }""", texts)
    assert set(WRONG) <= set(refused)
    assert set(refused) & set(taken) == set()


def test_damage_told_out_of_reach_leads_to_its_answer_once_it_is_sent(site, new_phone, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/damage/{book.site.kit.by_place[first_hubs[0]].id}")
    _out_of_reach(phone)
    phone.get_by_label("arm cracked").check()
    phone.get_by_role("link", name="Arm 2 of").click()      # in the drawing
    expect(phone.get_by_role("radio", name="arm 2")).to_be_checked()
    phone.get_by_label("bad: it must not carry anything").check()
    phone.get_by_role("button", name="Write it down").click()
    kept = phone.locator("main [data-kept-says]")
    expect(kept).to_contain_text(HOLD)
    _in_reach(phone)
    expect(kept).to_contain_text("Written down.")
    kept.get_by_role("link").click()
    phone.wait_for_url("**/answer/**")


def test_a_refused_entry_is_shown_until_it_was_read_and_holds_up_no_other(site, new_phone, laptop, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.goto(f"{address}/find")
    _knows_what_the_laptop_takes(phone, book.site.kit)
    _out_of_reach(phone)
    _quick(phone, first_hubs[0])
    for text, said in WRONG.items():
        _quick(phone, text, "Damaged")
        expect(phone.locator("[data-quick-says]")).to_have_text(f"{said} {HOLD}")
    _quick(phone, "S001", "Damaged")
    expect(phone.locator("[data-kept-says]")).to_have_text(f"Kept in this phone. {HOLD}")
    expect(phone.locator("[data-quick-says]")).to_be_hidden()
    _quick(phone, first_hubs[1])
    expect(phone.locator(WAITS)).to_have_text("3 entries wait in this phone")
    laptop.goto(f"{address}/place/{first_hubs[0]}")
    laptop.get_by_role("button", name="Fitted").click()
    expect(laptop.locator("main")).to_contain_text("Written down:")
    phone.context.set_offline(False)
    _look_at(phone)
    expect(phone.locator("[data-refused] [data-count]")).to_have_text("1 entry was not taken", timeout=15_000)
    expect(phone.locator("[data-waiting]")).to_be_hidden(timeout=15_000)
    expect(phone.locator("[data-refused] li").nth(0)).to_contain_text("already fitted")
    assert [(entry.kind, entry.place) for entry in book.entries()] == [
        ("fitted", first_hubs[0]), ("damaged", None), ("fitted", first_hubs[1])]
    phone.reload()
    phone.get_by_role("button", name="I have read it").first.click()
    expect(phone.locator("[data-refused]")).to_be_hidden()


def test_without_a_database_in_the_phone_text_waits_all_the_same(site, new_phone, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.add_init_script("Object.defineProperty(window, 'indexedDB', {value: {open() { throw new Error('no') }}})")
    phone.goto(f"{address}/find")
    _out_of_reach(phone)
    for hub in first_hubs:
        _quick(phone, hub)
    expect(phone.locator(WAITS)).to_have_text("3 entries wait in this phone")
    _in_reach(phone)
    assert [entry.place for entry in book.entries()] == first_hubs


def test_a_phone_that_cannot_keep_anything_says_so(site, new_phone, first_hubs):
    address, book, _ = site
    phone = new_phone()
    phone.add_init_script("""Object.defineProperty(window, 'indexedDB', {value: undefined});
                             Object.defineProperty(window, 'localStorage', {value: undefined});""")
    phone.goto(f"{address}/place/{first_hubs[0]}")
    phone.get_by_role("button", name="Fitted").click()
    expect(phone.locator("main [data-kept-says]")).to_contain_text("it is not written down")
    assert book.last_number == 0


def test_a_link_out_of_reach_does_not_lose_the_page(site, new_phone):
    address, _, _ = site
    phone = new_phone()
    phone.goto(f"{address}/find")
    _out_of_reach(phone)
    phone.get_by_role("link", name="Log").click()
    phone.wait_for_timeout(400)
    expect(phone.get_by_text("Which part is in your hand?")).to_be_visible()
    phone.context.set_offline(False)
    _look_at(phone)
    expect(phone.locator(OUT)).to_be_hidden(timeout=15_000)
    phone.get_by_role("link", name="Log").click()
    expect(phone.locator("h1")).to_contain_text("entries")


def test_a_page_left_open_for_hours_catches_up_when_it_is_looked_at(site, new_phone, laptop, first_hubs):
    address, _, _ = site
    phone = new_phone()
    phone.add_init_script("window.asleep = false; const later = window.setTimeout; "
                          "window.setTimeout = (f, ms) => later(() => window.asleep || f(), ms)")
    phone.goto(address)
    phone.evaluate("window.asleep = true")     # as a phone does in a pocket: its timers never come
    phone.wait_for_timeout(3500)
    laptop.goto(f"{address}/place/{first_hubs[0]}")
    laptop.get_by_role("button", name="Fitted").click()
    expect(laptop.locator("main")).to_contain_text("Written down:")
    phone.evaluate("window.asleep = false; document.dispatchEvent(new Event('visibilitychange'))")
    expect(phone.locator("figcaption").first).to_contain_text("1 of", timeout=3000)
