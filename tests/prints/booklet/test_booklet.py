"""The booklet of a small kit, read back by pypdf and pikepdf and held against the plan."""

import re
from collections import Counter
from dataclasses import replace

import pikepdf
import pypdf
import pytest
from small_frame import SPARES, small_design

from fieldapp.base.errors import KitError, PaperError
from fieldapp.base.said import in_words, say
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.kit import build_kit
from fieldapp.plan.case import case_of
from fieldapp.plan.judge import judge
from fieldapp.plan.planner import way_plans
from fieldapp.plan.reach import GROUND
from fieldapp.prints.booklet import lay_out, write_booklet
from fieldapp.reports.verdict import planned_strike
from fieldapp.wording.raising import step_rows, waits_note
from fieldapp.wording.strike import strike_lines, strike_order

WAYS = ("ring by ring", "crown first", "crown set on last", "wedge by wedge")


def changed(kit, **sections):
    """The kit of the same design with other answers."""
    design = kit.design
    for name, answers in sections.items():
        section = getattr(design, name).model_copy(update=answers)
        design = design.model_copy(update={name: section})
    return build_kit(design)


@pytest.fixture(scope="module")
def kit():
    """26 hubs and 65 struts to be fitted, and spares."""
    return build_kit(small_design(spares=SPARES))


@pytest.fixture(scope="module")
def plan(kit):
    return judge(case_of(kit), way_plans(kit, "ring by ring")[0]).plan


@pytest.fixture(scope="module")
def small(kit):
    """The kit and an order that nobody judged."""
    return kit, way_plans(kit, "ring by ring")[0]


@pytest.fixture(scope="module")
def printed(kit, plan, tmp_path_factory):
    path = tmp_path_factory.mktemp("paper") / "booklet.pdf"
    told = []
    assert write_booklet(kit, plan, path, tell=lambda done, total: told.append((done, total))) == ()
    assert told == [(number, told[-1][1]) for number in range(1, len(pypdf.PdfReader(path).pages) + 1)]
    return path


@pytest.fixture(scope="module")
def reader(printed):
    return pypdf.PdfReader(printed)


@pytest.fixture(scope="module")
def texts(reader):
    """Text of each page, spaces and lines alike."""
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def flat(outline, reader):
    """(title, page index) of all bookmarks, in order."""
    for item in outline:
        if isinstance(item, list):
            yield from flat(item, reader)
        else:
            yield item.title, reader.get_destination_page_number(item)


@pytest.fixture(scope="module")
def page_of_step(reader):
    """Step number → page index, by the bookmarks."""
    found = ((re.match(r"(\d+) ", title), page) for title, page in flat(reader.outline, reader))
    return {int(match.group(1)): page for match, page in found if match}


@pytest.fixture(scope="module")
def chapter(reader):
    """Bookmark title → page index."""
    return dict(flat(reader.outline, reader))


def test_every_part_id_stands_on_its_list_its_step_and_the_index_and_nowhere_else(kit, plan, texts, page_of_step,
                                                                                  chapter):
    lists = range(chapter["Parts by ring"], chapter["Raise, step by step"])
    index = range(chapter["Index: part ID to page"], len(texts))
    steps = {kit.by_place[place].id: page_of_step[plan.step_for(place).number] for place in plan.step_of}
    ids = {part.id for part in kit.parts}
    places = {part_id: Counter() for part_id in ids}
    for number, text in enumerate(texts):
        for found in re.findall(r"OH-[HS]\d+-[0-9A-Z]", text):
            places[found][number] += 1
    for part_id, found in places.items():
        assert set(found.values()) == {1}, part_id
        assert sum(page in lists for page in found) == 1, part_id
        assert sum(page in index for page in found) == 1, part_id
        rest = [page for page in found if page not in lists and page not in index]
        assert rest == ([steps[part_id]] if part_id in steps else []), part_id


def test_each_step_has_a_bookmark_in_order_on_a_page_that_says_what_to_do(plan, texts, page_of_step):
    assert list(page_of_step) == [step.number for step in plan.steps]
    assert list(page_of_step.values()) == sorted(page_of_step.values())
    for step in plan.steps:
        words = f"{step.number} {'Add' if step.struts else 'Set'} hub {step.hub}"
        assert words in texts[page_of_step[step.number]]


def test_the_steps_take_a_page_for_one_to_three(plan, page_of_step):
    pages = Counter(page_of_step.values())
    assert 9 <= len(pages) <= 20
    assert set(pages.values()) <= {1, 2, 3}


def test_each_step_names_who_holds_what_and_its_cautions(plan, texts, page_of_step):
    held = ()
    for step in plan.steps:
        text = texts[page_of_step[step.number]].replace("\u00a0", " ")
        for hub in step.holds:
            assert re.search(rf"(Keep holding|Hold) [^.:]*\b{hub}\b", text), (step.number, hub)
        for hub in set(held) - set(step.holds):
            assert re.search(rf"let go of [^.]*\b{hub}\b", text), (step.number, hub)
        assert all(in_words(said) in text for said in step.cautions), step.number
        assert f"{in_words(step.stand_on)}." in text or step.stand_on == GROUND
        held = step.holds


def test_each_step_says_what_it_waits_for(plan, texts, page_of_step):
    for step in plan.steps:
        assert waits_note(step) in texts[page_of_step[step.number]]


def test_struts_are_listed_in_the_order_of_insertion_with_ends_and_arms(kit, plan, texts, page_of_step):
    for step in plan.steps:
        text = texts[page_of_step[step.number]]
        at = []
        for item in step.struts:
            place = kit.frame.strut(item.strut)
            other = 3 - item.end
            row = (rf"{re.escape(kit.by_place[item.strut].id)} {place.strut_class} end {item.end}: {item.hub} arm "
                   rf"{item.arm} end {other}: {place.end(other).hub} arm {place.end(other).arm}")
            found = re.search(row, text)
            assert found, (step.number, item.strut)
            at.append(found.start())
        assert at == sorted(at)


def test_a_hub_goes_on_after_the_struts_that_hang_free_and_before_those_that_close(kit, plan):
    for step in plan.steps:
        places = [row.place for row in step_rows(kit, step)]
        middle = places.index(step.hub)
        assert not any(item.closes for item in step.struts if item.strut in places[:middle])
        assert all(item.closes for item in step.struts if item.strut in places[middle:])


def test_the_strike_is_the_raise_backwards(kit, plan):
    raised = [row.place for step in plan.steps for row in step_rows(kit, step)]
    found = planned_strike(kit, plan)
    assert [place for step in plan.steps[::-1] for place in strike_order(step, found[step.number])] == raised[::-1]


def test_at_every_moment_of_the_strike_the_hubs_are_held_that_the_stage_needs(kit, plan):
    found = planned_strike(kit, plan)
    held = set(plan.steps[-1].holds)
    for step, before in zip(plan.steps[::-1], [*plan.steps[-2::-1], None], strict=True):
        words = " ".join(strike_lines(kit, plan, step, found[step.number]))
        for pattern, act in ((r"loosen anything, hold ([^.]*)\.", held.update),
                             (r"done, ([^.]*) may be let go", held.difference_update)):
            for names in re.findall(pattern, words):
                act(re.findall(r"H\d+", names))
        held.discard(step.hub)
        assert held == set(before.holds if before else ()), step.number


def test_strike_pages_carry_every_place_that_comes_out_and_what_to_hold_first(kit, plan, texts, chapter):
    strike = " ".join(texts[chapter["Strike, step by step"]:chapter["Damage forms"]])
    found = Counter(re.findall(r"\b[HS]\d+\b", re.sub(r"(hold|When it is done,|holding) [^.]*\.", "", strike)))
    assert set(plan.step_of) <= set(found)
    changes = [step for step, before in zip(plan.steps[1:], plan.steps, strict=False)
               if set(before.holds) - set(step.holds)]
    assert changes
    for step in changes:
        lines = strike_lines(kit, plan, step, planned_strike(kit, plan)[step.number])
        assert next(line for line in lines if "loosen anything" in line) in strike


def test_every_link_leads_to_the_page_it_names(printed, texts):
    with pikepdf.open(printed) as pdf:
        pages = {page.objgen: number for number, page in enumerate(pdf.pages)}
        links = [(number, link) for number, page in enumerate(pdf.pages) for link in page.get("/Annots", ())]
        assert len(links) > 200
        for number, link in links:
            target = pdf.Root.Dests[link.Dest] if isinstance(link.Dest, pikepdf.Name) else link.Dest
            page = pages[target[0].objgen]
            words = str(link.Contents)
            named = re.match(r"(OH-[HS]\d+-.), page (\d+)", words)
            if named:
                assert page == int(named.group(2)) - 1
                place = named.group(1).split("-")[1]
                assert place in texts[page], (number, words)


def test_an_independent_tool_finds_nothing_wrong_and_all_fonts_inside(printed):
    with pikepdf.open(printed) as pdf:
        assert (pdf.check_pdf_syntax if hasattr(pdf, "check_pdf_syntax") else pdf.check)() == []
        fonts = [font for page in pdf.pages for font in page.Resources.get("/Font", {}).values()]
        assert fonts
        assert all("/FontFile2" in font.FontDescriptor for font in fonts)


def test_what_the_document_says_of_itself(reader):
    about = reader.metadata
    assert about.title == "Orchard Hall: booklet for raising and striking"
    assert (about.creator, about.author) == ("raisebook", "raisebook")
    assert "OH" in about["/Keywords"]
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_safety_is_said_once_and_every_page_with_a_limit_points_there(texts, chapter, page_of_step):
    said = [number for number, text in enumerate(texts) if "do not replace a competent person" in text]
    assert said == [chapter["Safety and contents"]]
    assert all("see page 2." in texts[page] for page in set(page_of_step.values()))


def test_forms_have_boxes_for_the_id_and_the_choices_of_the_log(texts, chapter):
    damage, repair = texts[chapter["Damage forms"]], texts[chapter["Repair forms"]]
    assert all(words in damage for words in ("arm snapped", "end crushed", "soaked or swollen", "How it happened"))
    assert all(words in repair for words in ("quarantined", "Released by", "Usable from"))
    assert damage.count("OH") == 2


def test_folded_booklet_has_the_pages_in_the_order_of_folding(kit, plan, reader, texts, tmp_path):
    write_booklet(kit, plan, tmp_path / "folded.pdf", imposed=True)
    folded = pypdf.PdfReader(tmp_path / "folded.pdf")
    count = len(reader.pages)
    assert count % 4 == 0
    assert len(folded.pages) == count // 2
    width, height = (float(side) for side in folded.pages[0].mediabox[2:])
    assert (round(width / 72 * 25.4), round(height / 72 * 25.4)) == (297, 210)
    with pikepdf.open(tmp_path / "folded.pdf") as pdf:
        for side, page in enumerate(pdf.pages):
            drawn = [str(operands[0]) for operands, operator in pikepdf.parse_content_stream(page)
                     if str(operator) == "Do"]
            pair = (count - side, side + 1) if side % 2 == 0 else (side + 1, count - side)
            assert [int(re.search(r"(\d+)$", name).group(1)) for name in drawn] == list(pair)


@pytest.mark.parametrize(("way", "paper"), [*((way, "A4") for way in WAYS), ("ring by ring", "Letter")])
def test_no_two_words_lie_on_each_other_or_on_the_rim(kit, way, paper, clashes):
    here = changed(build_kit(orchard_hall()) if paper == "Letter" else kit, labels={"paper": paper})
    book, chapters = lay_out(here, way_plans(here, way)[0])
    makers = [maker for chapter in chapters for maker in chapter.makers]
    assert len(makers) % 4 == 0
    for number, maker in enumerate(makers, start=1):
        assert clashes(maker(book, number), book.paper_mm) == [], number


def test_judged_steps_with_much_to_say_get_the_room(kit, plan, clashes):
    talkative = replace(plan, steps=tuple(replace(step, cautions=step.cautions * 2)
                                          for step in plan.steps))
    book, chapters = lay_out(kit, talkative)
    for number, maker in enumerate((maker for chapter in chapters for maker in chapter.makers), start=1):
        assert clashes(maker(book, number), book.paper_mm) == [], number


def test_letters_that_the_font_has_are_printed(small, tmp_path):
    kit, plan = small
    assert write_booklet(changed(kit, frame={"name": "Łąka świętojańska ß"}), plan, tmp_path / "b.pdf") == ()
    assert "Łąka świętojańska ß" in pypdf.PdfReader(tmp_path / "b.pdf").pages[0].extract_text()


def test_letters_that_the_font_lacks_give_a_message_and_no_boxes(small, tmp_path):
    kit, plan = small
    (warning,) = write_booklet(changed(kit, frame={"name": "果樹園"}), plan, tmp_path / "b.pdf")
    assert str(warning) == (
        'frame.name: the font has no 果 樹 園, needed for "果樹園"; "Kit OH" is printed instead. '
        "Choose another name in the design file to have it printed.")
    cover = pypdf.PdfReader(tmp_path / "b.pdf")
    assert cover.pages[0].extract_text().startswith("Kit OH")
    assert cover.metadata.title == "果樹園: booklet for raising and striking"


def test_a_plan_with_letters_that_the_font_lacks_is_refused_and_nothing_is_written(small, tmp_path):
    kit, plan = small
    strange = replace(plan, steps=(replace(plan.steps[0], cautions=(say("注意"),)), *plan.steps[1:]))
    with pytest.raises(PaperError, match='the font has no 注 意, needed for "注意"; choose other words'):
        write_booklet(kit, strange, tmp_path / "b.pdf")
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_written_is_named(small, tmp_path):
    kit, plan = small
    (tmp_path / "paper").write_text("in the way")
    with pytest.raises(KitError, match=r"paper.*cannot be written"):
        write_booklet(kit, plan, tmp_path / "paper" / "b.pdf")
