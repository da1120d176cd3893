"""Paper for the site speaks the language of the design, whoever asks for it; the same input gives the same bytes."""

import pytest
from pypdf import PdfReader

from fieldapp.base.words import LANGUAGE_NAMES, catalogue, printed_in, speaking
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.template import STARTER
from fieldapp.kit import build_kit
from fieldapp.kit.cutting import cutting_plan
from fieldapp.plan import level_order
from fieldapp.prints.booklet import lay_out
from fieldapp.prints.common import WorkshopSheet
from fieldapp.prints.common.book import Told
from fieldapp.prints.posters import write_posters
from fieldapp.prints.sheets.label_kinds import write_kind
from fieldapp.prints.workshop.break_test import break_pages
from fieldapp.prints.workshop.cuts import cut_pages
from fieldapp.prints.workshop.hubs import hub_pages
from fieldapp.prints.workshop.strut_test import strut_test_pages
from fieldapp.prints.workshop.turns import blanks

HEADINGS = {"en": "Join the Wi-Fi", "nl": "Ga op de wifi", "de": "Ins WLAN gehen", "fr": "Rejoignez le Wi-Fi",
            "es": "Entra en el wifi"}


@pytest.fixture(scope="module", params=LANGUAGE_NAMES)
def kit(request):
    design = orchard_hall()
    site = design.site.model_copy(update={"language": request.param})
    return build_kit(design.model_copy(update={"site": site}))


def _text(path):
    return " ".join(page.extract_text() for page in PdfReader(path).pages)


def test_posters_are_read_by_strangers_in_the_language_of_the_design(kit, tmp_path):
    write_posters(kit, level_order(kit.frame, kit.design), tmp_path, wind_limit_m_s=6.1, join_code="K7M2QD")
    language = kit.design.site.language
    assert HEADINGS[language] in _text(tmp_path / "join.pdf")
    assert ("3.6" if language == "en" else "3,6") in _text(tmp_path / "rules.pdf")


def test_labels_fit_in_every_language_and_do_not_follow_the_phone_that_asks(kit, tmp_path):
    parts = ["H01", "H22", "H61", "H62", "S073", "S166"]
    assert write_kind(kit, tmp_path / "plain.pdf", "part", part_ids=parts) == ()
    assert [write_kind(kit, tmp_path / "kind.pdf", kind) for kind in ("bag", "bundle", "box")] == [(), (), ()]
    with speaking(catalogue("es")):
        write_kind(kit, tmp_path / "asked.pdf", "part", part_ids=parts)
    assert (tmp_path / "asked.pdf").read_bytes() == (tmp_path / "plain.pdf").read_bytes()


@pytest.mark.parametrize("language", [code for code in LANGUAGE_NAMES if code != "en"])
def test_longer_languages_find_room_on_booklet_and_workshop_sheets(language, clashes):
    kit = build_kit(STARTER)
    with printed_in(language):
        book, chapters = lay_out(kit, level_order(kit.frame, kit.design), Told(6.1))
        sheet = WorkshopSheet(kit, "")
        makers = (*((book, maker) for chapter in chapters for maker in chapter.makers),
                  *((sheet, maker) for maker in (*cut_pages(sheet, cutting_plan(kit)), *break_pages(sheet),
                                                 *strut_test_pages(sheet),
                                                 *hub_pages(sheet, blanks(kit.frame, kit.design.frame.tolerance_deg)))))
        found = {number: lying for number, (paper, make) in enumerate(makers, start=1)
                 if (lying := clashes(make(paper, number), paper.paper_mm))}
    assert found == {}
