"""Nothing on paper is left in English: every PDF of a kit, read back in a language in which every message is marked.

The text of the pages, the bookmarks and what each document says of itself. What people write themselves, the kit's
name, bundles and notes, is in Greek letters here.
"""

import contextlib
import re
from datetime import UTC, datetime, timedelta

import marked as beside
import pypdfium2
import pytest

from fieldapp.base import words
from fieldapp.frame.design import SparesSection
from fieldapp.frame.template import STARTER
from fieldapp.kit import build_kit
from fieldapp.kit.checklist import possible_of
from fieldapp.kit.cutting import cutting_plan
from fieldapp.log.entry import Entry, Request
from fieldapp.log.opening import open_book
from fieldapp.plan.order import judged_plan
from fieldapp.prints.booklet import write_booklet
from fieldapp.prints.common.book import Told
from fieldapp.prints.folder import make_folder
from fieldapp.prints.sheets import KINDS
from fieldapp.prints.sheets.label_kinds import write_kind
from fieldapp.prints.sheets.new_places import NewPlace, write_labels_now, write_new_places
from fieldapp.prints.workshop import write_workshop
from fieldapp.reports.inspection.record import inspection_record
from fieldapp.web.inspection.paper import record_pdf, tags_pdf

MORNING = datetime(2027, 9, 12, 10, 14, tzinfo=UTC)
NAMES = re.compile("|".join((
    r"«[^»]*»", r"https?://\S+", r"design\.toml", r"\[(hub|labels|strength)\]",
    r"raisebook arm-test.*", r"(test_lever_mm|test_loads_n|strut_span_mm|strut_loads_n) = \S+",
    r"\bpull_test_n\b", r"strut\.length_error_mm",       # typed at the laptop
    r"\bEN\s+AW-\d+\s+T\d+\b", r"\b(frame|strut|hub|raising)\.\w+\s=\s\d+(\.\d+)?",
    r"\bMF(-[HS]\d+-\w|-)?", r"\b[HSC]\d+(\.\d)?\b", r"\b\d{1,2}[LR]\b", r"\b[A-Z]\b", r"\d+(\.\d+){3}:\d+",    # IDs
    r"\d{4}-\d\d-\d\d( \d\d:\d\d)?( UTC)?", r"(?<![\d.])\d+(,\d+)?\s*(mm|m|kg|N|m/s)\b",
    r"^[A-HJ-NP-Z2-9]{6}\r?$")), re.MULTILINE)
"""What is no word: numbers with units, IDs, classes, materials by their standard, addresses, keys of the design."""


LEAST = {"frequency": 1, "cut": "2/3"}
"""As few hubs as can be: what these say is said of one as of many."""


@pytest.fixture(scope="module")
def speak():
    """While it is there, every language is the marked one."""
    marked = beside.marked("«»")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(words, "catalogue", lambda language: marked)
        yield


@pytest.fixture(scope="module")
def design():
    frame = STARTER.frame.model_copy(update={"name": "Θέρος", **LEAST})
    site = STARTER.site.model_copy(update={"language": "nl", "wifi_name": "2027", "wifi_password": "20270912"})
    spares = SparesSection(hubs_each_other=1, struts_each=1)
    return STARTER.model_copy(update={"frame": frame, "site": site, "spares": spares})


@pytest.fixture(scope="module")
def folder(design, speak, tmp_path_factory):
    """Everything that is printed of a kit."""
    folder = tmp_path_factory.mktemp("kit")
    make_folder(folder, design, report=lambda words: None)
    with contextlib.closing(open_book(folder)) as book:
        _more_labels(folder, book.site.kit)
        _inspected(folder, book)
    return folder


def _more_labels(folder, kit):
    """Every kind of label, and stickers for parts that go elsewhere."""
    for kind in KINDS:
        write_kind(kit, folder / f"{kind}.pdf", kind)
    by_class = {part.part_class: [] for part in kit.parts}
    for part in kit.parts:
        by_class[part.part_class].append(part)
    one, other = next(parts for parts in by_class.values() if parts[0].kind == "strut" and len(parts) > 1)[:2]
    moves = [NewPlace(one.id, other.made_for)]
    write_new_places(kit, folder / "new-places.pdf", moves)
    write_labels_now(kit, folder / "labels-now.pdf", [one.id, other.id], moves)


def _inspected(folder, book):
    """The record of a round, and its tags: parts that passed, failed, broke, are missing or were not seen."""
    kit, checklist = book.site.kit, book.site.checklist
    hub, strut, third, fourth = (kit.by_place[place].id for place in ("H01", "S001", "S002", "S003"))
    told = [("damaged", third, {"what": "split", "severity": "bad", "words": "λέξη"}),
            ("damaged", hub, {"what": "arm_cracked", "arm": 2}), ("missing", fourth, {"words": "λέξη"}),
            *(("stored", part, {"bundle": "δέμα", "came_in": ["wet"]}) for part in (hub, strut)),
            ("round_opened", None, {"name": "γύρος"}),
            ("checked", hub, {"items": _items(checklist.lines("hub"), kit.part(hub)), "box": "δέμα"}),
            ("checked", strut, {"items": _items(checklist.lines("strut"), kit.part(strut), fail=True),
                                "seen": "typed"})]
    for number, (kind, part, data) in enumerate(told):
        outcome = book.submit(Request(f"key {number}", kind, part, None, "Θέρος", data=data, chief=True),
                              MORNING + timedelta(minutes=number))
        assert isinstance(outcome, Entry), outcome
    record = inspection_record(book.state, checklist)
    (folder / "record.pdf").write_bytes(record_pdf(kit, record))
    (folder / "tags.pdf").write_bytes(tags_pdf(kit, record))


def _items(lines, part, *, fail=False):
    """A whole check; if it fails, every line does, with a number where one is asked for."""
    for line in lines:
        item = {"item": line.item, "result": "fail" if fail else "pass"}
        item |= {line.each: 1, "words": "λέξη"} if fail and line.each else {}
        most = (possible_of(line, part) or (0.0, 99.5))[1]
        item |= {"value": most, "unit": line.unit} if line.unit and fail else {}
        if line.when == "always" or fail:
            yield item


def _texts(path):
    """Pages, bookmarks, and what the document says of itself."""
    document = pypdfium2.PdfDocument(path)
    about = document.get_metadata_dict()
    yield from (about[name] for name in ("Title", "Subject", "Keywords") if about[name] != "unspecified")
    yield from (bookmark.get_title() for bookmark in document.get_toc())
    for page in document:
        yield page.get_textpage().get_text_range()


def _left(texts):
    """What is no message and no name."""
    for text in texts:
        rest = NAMES.sub(" ", text)
        if found := re.search(r"[^\n]*([A-Za-z]|\d\.\d)[^\n]*", rest):
            yield found[0].strip(), text


def test_no_pdf_shows_words_that_are_no_message(folder):
    paper = {path: tuple(_texts(path)) for path in sorted(folder.rglob("*.pdf"))}
    assert len(paper) > 15
    assert all("«" in "".join(texts) for texts in paper.values())
    assert {path.name: left for path, texts in paper.items() if (left := dict(_left(texts)))} == {}


def test_the_pocket_copy_shows_no_words_that_are_no_message(folder):
    page = beside.Page((folder / "paper" / "pocket.html").read_text(encoding="utf-8"))
    assert dict(_left(page.shown)) == {}
    assert len(page.shown) > 500


OTHERS = {
    "rods on hubs with long arms, lifted, a doorway": {
        "frame": {"frequency": 2, "cut": "1/2", "doorway": True, "diameter_m": 5.0},
        "raising": {"way": "crown first", "accept_breaking": True}, "crew": {"people": 30}, "hub": {"plies": 2}},
    "tubes, one layer, the crown last": {
        "strut": {"section": "tube", "material": "paper tube", "outer_mm": 60.0, "wall_mm": 5.0},
        "hub": {"material": "birch plywood 12", "ply_mm": 12.0},
        "raising": {"way": "crown set on last", "accept_breaking": True, "service_class": 3}, "crew": {"people": 30}},
    "bolted ends, lifted": {
        "hub": {"joint": "bolted end"}, "raising": {"way": "crown first", "accept_breaking": True},
        "crew": {"people": 30}},
    "springs, out of reach": {
        "hub": {"joint": "spring", "stiffness_out_nm_rad": 900.0, "stiffness_in_nm_rad": 900.0},
        "frame": {"diameter_m": 4.6}, "labels": {"paper": "Letter"}},
    "arms that run together": {"hub": {"reach_mm": 30.0}, "raising": {"insertion_depth_mm": 10.0}}}


@pytest.mark.parametrize("other", [
    other if other.startswith(("tubes", "bolted")) else pytest.param(other, marks=pytest.mark.thorough)
    for other in OTHERS])
def test_no_other_kind_of_frame_says_words_that_are_no_message(design, speak, other, tmp_path):
    kit = build_kit(design.model_copy(update={name: getattr(design, name).model_copy(update=answers)
                                              for name, answers in OTHERS[other].items()}))
    write_workshop(kit, cutting_plan(kit), tmp_path)
    write_booklet(kit, judged_plan(kit).plan, tmp_path / "booklet.pdf", told=Told(6.1))
    for path in sorted(tmp_path.rglob("*.pdf")):
        assert dict(_left(_texts(path))) == {}, path.name


def test_the_robot_reads_what_is_no_message():
    texts = ("«Hold »H22« for »1.5 m", "«Up»\r\n«a strut\r\nof »1,5 m", "MF-S073-C «end »1", "«Saw »it")
    assert [text for _, text in _left(texts)] == ["«Hold »H22« for »1.5 m", "«Saw »it"]
