"""Parts between kits: who can spare one and stays fit, both logs tell, half a move shows, a log away is asked."""

import io
import re
from datetime import timedelta

import pytest
from click.testing import CliRunner
from yard_of_three import NOW, YardOfThree, three_kits

from fieldapp.cli import main
from fieldapp.kit.file import write_kit
from fieldapp.log.backup import export_lines
from fieldapp.log.book import SiteBook
from fieldapp.log.entry import Entry, Request
from fieldapp.reports.inspection import round_report
from fieldapp.web.yard import pooling
from fieldapp.web.yard import upkeep as upkeep_pages

LATER = NOW + timedelta(hours=2)


@pytest.fixture(scope="session")
def kits():
    return three_kits()


@pytest.fixture
def yard(tmp_path, kits):
    made = YardOfThree(tmp_path, kits)
    hub = made.book(0).site.kit.by_place["H11"]
    made.log(0, "damaged", hub.id, what="arm_snapped", arm=1, severity="bad")
    made.broken, made.key = hub, hub.part_class
    yield made
    made.close()


def spare_of(yard):
    parts = yard.book(1).site.kit.parts
    return next(p.id for p in parts if p.kind == "hub" and p.part_class == yard.key and p.is_spare)


def lend(yard):
    return yard.press("/spares/MD", "/spares/MD", **{"from": "RD"}, part_class=yard.key, kind="hub")


def test_a_hub_broke_and_it_is_said_who_can_spare_one_and_who_cannot_and_why(yard):
    assert 'href="/spares/MD"' in yard.text("/")
    assert "Rope Dome (RD) can spare one and keeps all that it needs" in yard.text("/spares/MD")    # not inspected yet
    yard.log(1, "round_opened", name="spring", checklist="default")
    for part in yard.book(1).site.kit.parts:
        yard.log(1, "checked", part.id, items=[{"item": "all", "result": "pass"}])
    yard.log(1, "wanted", where="Fair", first="2027-05-08", last="2027-05-09")
    page = yard.text("/spares/MD")
    assert "Rope Dome (RD) can spare one and stays fit for 2027-05-08 to 2027-05-09 at Fair" in page
    assert re.search(r"Cart Dome \(CD\) cannot: its (one such part is|\d+ such parts are all) in use", page)


def test_both_logs_tell_with_one_key_and_a_scan_says_where_it_is(yard):
    spare = spare_of(yard)
    assert lend(yard).status_code == 303
    gone, came = yard.book(1).state.parts[spare].away, yard.book(0).state.parts[spare].borrowed
    assert (gone.key, gone.kit, came.kit) == (came.key, "MD", "RD")
    assert yard.chief.get(f"/P/{spare}").location == f"/MD/P/{spare}"       # the kit where it is now
    assert "Lent to Mill Dome (MD)" in yard.text(f"/RD/p/{spare}")
    assert "Borrowed from Rope Dome (RD)" in yard.text(f"/MD/p/{spare}")
    assert spare.rpartition("-")[0] in yard.text(f"/MD/p/{spare}")           # with its letters: Mill has an H12, too
    assert "cannot" in yard.text("/spares/CD") or "Nothing is lacking" in yard.text("/spares/CD")
    assert yard.book(1).state.parts[spare].usable is False
    for number in (0, 1):
        yard.log(number, "round_opened", name="spring", checklist="default")
    seen = [{one.part for one in round_report(yard.book(number).state).not_seen} for number in (0, 1)]
    assert (spare in seen[0], spare in seen[1]) == (True, False)        # it is inspected where it is
    yard.text("/")
    with yard.app.test_request_context():
        mill = pooling.pool_kit(pooling.yard().named("MD"), NOW, patience_s=60.0)
    given = mill.ready.outfit.allocation
    assert given.part_at[yard.broken.made_for] == spare         # Mill is whole again, and its arms are where they were
    assert not given.empty
    assert [reason.why for reason in mill.ready.reasons] == ["inspection"]      # the lent one is looked at, too


def test_it_goes_into_the_place_of_the_broken_one_and_home_again(yard):
    spare = spare_of(yard)
    lend(yard)
    book = yard.book(0)
    done = book.submit(Request("k1", "exchanged", spare, yard.broken.made_for, chief=True), NOW)
    assert isinstance(done, Entry), done
    assert book.state.allocation[yard.broken.made_for] == spare
    yard.log(0, "damaged", spare, what="arm_cracked", arm=2, severity="slight")
    assert yard.press("/between", "/between/back").status_code == 303
    own = yard.book(1).state.parts[spare]
    assert own.away is None
    assert own.condition == "watch"
    assert "arm 2" in str(own.reasons)
    assert book.state.allocation[yard.broken.made_for] == yard.broken.id
    assert "All parts are at home" in yard.text("/between")


def test_half_a_move_shows_and_is_completed_or_taken_back(yard):
    spare, loan = spare_of(yard), {"loan": "loan 1", "kit": "MD", "title": "Mill Dome"}
    yard.log(1, "lent", spare, **loan)
    assert "where nobody has written down that it came" in yard.text("/between")
    assert yard.press("/between", "/between/took").status_code == 303
    assert yard.book(0).state.parts[spare].borrowed.key == "loan 1"
    yard.log(1, "withdrawn", entry=yard.book(1).state.parts[spare].away.entry, reason="slip")
    assert "does not know of it" in yard.text("/between")
    assert "cannot" in yard.text("/spares/MD")      # it is not lent twice
    assert yard.press("/between", "/between/lent").status_code == 303
    assert "of Rope Dome (RD) is at Mill Dome (MD)" in yard.text("/between")


def test_a_kit_whose_log_is_away_is_asked_and_gives_once_its_log_is_home(yard):
    spare = spare_of(yard)
    yard.log(1, "moved", where="Ropewalk", own_log=True)
    assert "goes on at its own laptop" in yard.text("/")
    assert "may be asked: its log is away at Ropewalk" in yard.text("/spares/MD")
    assert lend(yard).status_code == 303
    assert spare not in yard.book(0).state.parts        # asked, not given
    assert "not given before its log is home" in yard.text("/between")
    assert "/between/give" not in yard.text("/between")
    yard.log(1, "log_home")
    assert yard.press("/between", "/between/give").status_code == 303
    assert yard.book(0).state.parts[spare].borrowed is not None
    assert not yard.book(0).state.asks


def test_what_broke_meanwhile_is_not_given(yard):
    spare = spare_of(yard)
    yard.log(1, "moved", where="Ropewalk", own_log=True)
    lend(yard)
    yard.log(1, "damaged", spare, what="arm_snapped", arm=1, severity="bad")
    yard.log(1, "log_home")
    answer = yard.press("/between", "/between/give")
    assert answer.status_code == 409
    assert "1 may not be used" in answer.text
    assert spare not in yard.book(0).state.parts


def test_only_the_chief_lends(yard):
    phone = yard.app.test_client()
    phone.get("/")
    assert phone.post("/spares/MD", data={"from": "RD"}, environ_base={"REMOTE_ADDR": "10.0.0.7"}).status_code == 403


def elsewhere(yard, folder):
    """Rope's log on a laptop of its own, with all that it knew when it left."""
    own, kit = yard.book(1), yard.book(1).site.kit
    write_kit(folder, kit)
    book = SiteBook.open(kit, own.site.plan, folder / "log.sqlite")
    book.take_in(own.entries(), own.laptops.values())
    return book


def test_a_log_comes_home_with_its_review_refused_days_and_contradictions(yard, tmp_path):
    spare, days = spare_of(yard), {"first": "2027-05-01", "last": "2027-05-03"}
    yard.log(1, "moved", where="Ropewalk", own_log=True)
    field = elsewhere(yard, tmp_path / "field")
    yard.log(1, "wanted", where="Mill Green", **days)                       # the yard gave the day first
    yard.log(1, "damaged", spare, what="arm_cracked", arm=1, severity="slight")
    for number, (kind, part, data) in enumerate((("wanted", None, {"where": "Ropewalk", **days}),
                                                 ("damaged", spare, {"what": "arm_snapped", "arm": 2}))):
        assert isinstance(field.submit(Request(f"field {number}", kind, part, chief=True, data=data), LATER), Entry)
    lines = "".join(export_lines(field.entries(), field.site.kit, field.laptops.values())).encode()
    field.close()
    sent = {"lines": (io.BytesIO(lines), "day.jsonl")}
    looked = yard.chief.post("/coming-home/RD", data=sent, content_type="multipart/form-data").text
    assert ("Days refused: 2027-05-01 to 2027-05-03, Ropewalk: one of these days was given to another place already"
            in looked)
    assert f"Both sides wrote about {spare.split('-')[1]}" in looked
    assert "is not known here yet" in looked
    assert yard.book(1).state.parts[spare].condition == "watch"             # nothing is kept yet
    digest = re.search(r'name="digest" value="(\w+)"', looked)[1]
    page = yard.chief.post("/coming-home/RD/take", data={"digest": digest}, follow_redirects=True).text
    assert "Joined. New entries: 2" in page
    assert "kit wanted at Ropewalk, 2027-05-01 to 2027-05-03: one of these days was given to another" in page
    assert yard.book(1).state.parts[spare].condition == "quarantined"
    assert [one.where for one in yard.book(1).state.wanted] == ["Mill Green"]
    assert yard.chief.post("/coming-home/RD/over").status_code == 303
    assert yard.book(1).state.log_away is None


def test_a_lost_log_is_given_up_with_a_reason_and_all_is_inspected_anew(yard):
    spare = spare_of(yard)
    yard.log(1, "round_opened", name="spring", checklist="default")
    yard.log(1, "checked", spare, items=[{"item": "all", "result": "pass"}])
    assert yard.book(1).state.parts[spare].round
    yard.log(1, "moved", where="Ropewalk", own_log=True)
    assert yard.chief.post("/coming-home/RD/over", data={"lost": "yes"}).status_code == 409
    assert yard.chief.post("/coming-home/RD/over", data={"lost": "yes", "words": "stolen"}).status_code == 303
    assert yard.book(1).state.parts[spare].round is None


def test_what_is_no_log_of_the_kit_is_refused_in_words(yard):
    for content in (b"", b"\xff\xfe", b"{}", b'{"raisebook_log": 2, "kit": "XX"}\n'):
        answer = yard.chief.post("/coming-home/RD", data={"lines": (io.BytesIO(content), "x")},
                                 content_type="multipart/form-data")
        assert answer.status_code == 409, content
        assert "raisebook log export" in answer.text


def test_the_board_of_all_kits_tells_what_goes_on_where(yard):
    lend(yard)
    rope = yard.book(1).site.kit
    yard.log(1, "moved", where="Ropewalk")
    assert isinstance(yard.book(1).submit(Request("step", "fitted", rope.by_place["H01"].id, who="Ann"), NOW), Entry)
    yard.log(1, "duty_taken", what="hold", at="H01")
    yard.log(1, "wind_read", gust_m_s=7.4)
    yard.log(1, "stopped", words="a child is under it")
    yard.log(2, "wanted", where="Fair", first="2027-05-08", last="2027-05-09")
    page = yard.text("/overview")
    for words in ("going up: 1 of", "at Ropewalk", "a child is under it", "H01 held by", "Last gust read: 7.4 m/s",
                  f"{yard.broken.id}:", "of Rope Dome (RD) is at Mill Dome (MD)", "2027-05-08 to 2027-05-09, Fair"):
        assert words in page, words
    assert page.index("Rope Dome (RD)</a>") < page.index("Mill Dome (MD)</a>")       # what is stopped comes first


def test_upkeep_over_all_kits_on_a_page_and_as_a_table(yard):
    with yard.app.test_request_context():
        upkeep_pages._found(60.0)
    page = yard.text("/upkeep")
    for words in ("Mill Dome (MD)", "Places lack parts.", "To inspect",
                  "36 parts were not looked at", "too few to say"):
        assert words in page, words
    assert re.search(rf"hubs? of class {yard.key}: 1 for places", page)
    table = yard.chief.get("/upkeep.csv").text.splitlines()
    assert table[0].startswith("kit,kind,class,lacking,spares,spares_to_add,to_make,chance_now,chance_then")
    assert any(row.startswith(f"MD,hub,{yard.key},1,") for row in table)


def test_upkeep_at_the_terminal(yard, tmp_path):
    said = CliRunner().invoke(main, ["upkeep", str(tmp_path), "--chance", "0.9", "--csv", str(tmp_path / "up.csv")])
    assert said.exit_code == 0, said.output
    assert "Wanted for each kit: 90%" in said.output
    assert "MD hub" in said.output
    assert (tmp_path / "up.csv").read_text().startswith("kit,kind,class")
