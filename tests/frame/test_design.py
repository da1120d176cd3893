"""The design file: what is refused and in which words, and that what is written reads back."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fieldapp.base.errors import DesignError
from fieldapp.base.materials import MATERIALS
from fieldapp.frame.cuts import cuts
from fieldapp.frame.design import (
    CrewSection,
    Design,
    FrameSection,
    HubSection,
    SiteSection,
    SparesSection,
    StrutSection,
)
from fieldapp.frame.design_file import read_design
from fieldapp.frame.template import STARTER, design_text


def refusal(tmp_path: Path, text: str) -> str:
    """What is said of a design file; a size is given unless the text gives one."""
    path = tmp_path / "design.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DesignError) as caught:
        read_design(path)
    return str(caught.value)


SIZED = "[frame]\ndiameter_m = 6.4\n"

MESSAGES = {
    SIZED + "frequency = 17":
        "frame.frequency is 17; allowed are whole numbers from 1 to 16. "
        "Choose the number of struts along one edge of the icosahedron.",
    SIZED + "frequency = 0":
        "frame.frequency is 0; allowed are whole numbers from 1 to 16. "
        "Choose the number of struts along one edge of the icosahedron.",
    SIZED + "frequency = 2.5":
        "frame.frequency is 2.5; allowed are whole numbers from 1 to 16. "
        "Choose the number of struts along one edge of the icosahedron.",
    SIZED + 'frequency = "3"':
        "frame.frequency is \"3\"; allowed are whole numbers from 1 to 16. "
        "Choose the number of struts along one edge of the icosahedron.",
    "[frame]\ndiameter_m = -3":
        "frame.diameter_m is -3; allowed are numbers from 0.2 to 100. Give metres, for example 6.4.",
    "[frame]\ndiameter_m = 4000":
        "frame.diameter_m is 4000; allowed are numbers from 0.2 to 100. Give metres, for example 6.4.",
    "[frame]\ndiameter_m = nan":
        "frame.diameter_m is nan; allowed are numbers from 0.2 to 100. Give metres, for example 6.4.",
    "[frame]":
        "frame: no size is given; allowed is exactly one of diameter_m, height_m, longest_strut_m. "
        "Keep the one you care about and put a # before the others.",
    "[frame]\ndiameter_m = 6\nheight_m = 3":
        "frame: diameter_m and height_m are given; allowed is exactly one of diameter_m, height_m, longest_strut_m. "
        "Keep the one you care about and put a # before the others.",
    SIZED + 'prefix = "O1"':
        "frame.prefix is \"O1\"; allowed are two or three capital letters A to Z. "
        "Choose letters that no other kit in your store uses.",
    SIZED + 'prefix = "OH\\n"':
        "frame.prefix is \"OH\\n\"; allowed are two or three capital letters A to Z. "
        "Choose letters that no other kit in your store uses.",
    SIZED + "frequncy = 3":
        "frame.frequncy is not a key; the nearest is frame.frequency. Correct it, or put a # before the line.",
    SIZED + "reach_mm = 3":
        "frame.reach_mm is not a key; the nearest is hub.reach_mm. Correct it, or put a # before the line.",
    SIZED + "[strutt]\nouter_mm = 50":
        "[strutt] is not a section; the nearest is [strut]. Correct it, or remove it.",
    SIZED + "[strut]\nsection = \"tube\"\nouter_mm = 50\nwall_mm = 26":
        "strut.wall_mm is 26, but the tube is only 50 mm thick; allowed is at most half of that, 25. "
        "Measure at the end of the tube.",
    SIZED + "[strut]\nsection = \"rod\"\nwall_mm = 4":
        "strut.wall_mm is 4, but a rod is solid; allowed is no wall. "
        "Put a # before the line, or set strut.section to \"tube\".",
    "[frame]\nlongest_strut_m = 3\n[strut]\nstock_mm = 2000":
        "strut.stock_mm is 2000, but frame.longest_strut_m asks for 3000 mm; allowed is that or more. "
        "Buy longer stock, or ask for shorter struts.",
    SIZED + "[hub]\ntest_loads_n = [100, -4]\ntest_lever_mm = 600":
        "hub.test_loads_n is wrong at item 2, -4; allowed is a list of numbers above 0. "
        "List one number above zero for each arm you broke, for example [118, 131, 124].",
    SIZED + "[hub]\ntest_loads_n = [100]":
        "hub.test_lever_mm is missing, but hub.test_loads_n lists 1 loads; allowed are numbers above 0. "
        "Give the distance from the arm's root to where the load hung, in mm.",
    SIZED + "[labels]\npaper = \"Letter\"":
        "labels.rows is 7: margin, labels and gaps take 281.5 mm down, but Letter has 279.4 mm; "
        "allowed is what fits. Measure the sheet again.",
    SIZED + "[ground]\nfriction = 0.4":
        "ground.source is missing, but ground.friction is 0.4; a value of your own needs a few words on where it comes "
        "from. Write who measured it, or put a # before ground.friction.",
    SIZED + '[ground]\nstands_on = "concrete"\nheld_by = "pegs"':
        "ground.held_by is \"pegs\", but no peg goes into \"concrete\"; allowed there are \"nothing\", \"ballast\" or "
        "\"screwed anchors\". Choose one of these.",
    SIZED + "[ground]\npull_test_up_n = [400]":
        "ground.pull_test_up_n is given, but ground.held_by is \"nothing\"; it is a value of \"pegs\" or \"screwed "
        "anchors\". Set ground.held_by, or put a # before the line.",
    SIZED + '[ground]\nheld_by = "ballast"':
        "ground.ballast_kg is missing, but ground.held_by is \"ballast\"; allowed are numbers above 0. "
        "Weigh one weight and give its mass in kg.",
    SIZED + '[ground]\nwhich_feet = ["H01"]':
        "ground.which_feet lists feet, but ground.held_by is \"nothing\"; allowed are \"pegs\", \"ballast\" or "
        "\"screwed anchors\". Say what holds them, or put a # before the list.",
    SIZED + '[site]\naddress = "10.0.0.1"':
        "site.address is \"10.0.0.1\"; allowed are http:// or https://, a host name or number, and a port if needed, "
        "40 characters at most, no path. Give the laptop a fixed address in its router.",
    SIZED + '[site]\naddress = "http://10.0.0.1:99999"':
        "site.address is \"http://10.0.0.1:99999\", but 99999 is no port; allowed are numbers from 1 to 65535. Leave "
        ":8000 unless that is taken on the laptop.",
    SIZED + '[site]\naddress = "http://10.0.0.256"':
        "site.address is \"http://10.0.0.256\", but 10.0.0.256 is no address in numbers; allowed are four numbers from "
        "0 to 255, such as 10.0.0.1. Give the laptop a fixed address in its router.",
    SIZED + '[site]\naddress = "http://book.local:8000"':
        "site.address is \"http://book.local:8000\", but many phones cannot find names that end in .local; allowed are "
        "a fixed address such as http://10.0.0.1:8000 or a name that the site's router answers. "
        "Give the laptop a fixed address in its router.",
}


@pytest.mark.parametrize("text", MESSAGES)
def test_what_is_refused_and_how(tmp_path: Path, text: str) -> None:
    assert refusal(tmp_path, text) == f"design.toml: {MESSAGES[text]}"


def test_a_label_sheet_that_fills_the_paper_to_the_edge_is_taken(tmp_path: Path) -> None:
    """0.3 + 3 × 69.9 is 210 mm, which a sum of floats misses by a hair."""
    (tmp_path / "design.toml").write_text(SIZED + "[labels]\ncolumns = 3\nlabel_width_mm = 69.9\n"
                                          "margin_left_mm = 0.3\ngap_x_mm = 0", encoding="utf-8")
    assert read_design(tmp_path / "design.toml").labels.columns == 3


def test_a_cut_that_the_frequency_has_not(tmp_path: Path) -> None:
    said = refusal(tmp_path, SIZED + "frequency = 4\ncut = \"5/9\"")
    assert said.startswith("design.toml: frame.cut is '5/9'; frequency 4 can be cut at 1/12, ")
    assert said.endswith("; the nearest is 7/12.")


def test_a_site_address_that_makes_symbols_too_large(tmp_path: Path) -> None:
    assert "40 characters at most" in refusal(tmp_path, SIZED + f'[site]\naddress = "http://{"a" * 40}.lan"')


def test_all_problems_are_listed_at_once(tmp_path: Path) -> None:
    text = ("[frame]\nfrequency = 17\nsize = 3\n[strut]\nmaterial = \"S253\"\nouter_mm = 50\nwall_mm = 40\n"
            "[crew]\npeople = 2.5\nlifters = 9\n[site]\naddress = \"ftp://x\"")
    lines = refusal(tmp_path, text).split("\n")
    keys = [line.removeprefix("design.toml: ").split(" ")[0].rstrip(":") for line in lines]
    assert keys == ["frame.frequency", "frame.size", "crew.people", "site.address", "frame", "strut.wall_mm",
                    "strut.material"]


def test_a_nearly_right_material_is_offered(tmp_path: Path) -> None:
    assert "nearest: S235" in refusal(tmp_path, SIZED + "[strut]\nmaterial = \"S253\"")


@pytest.mark.parametrize(("content", "said"), [
    (b"[frame\n", "design.toml cannot be read: "),
    (b"\xff\xfe[\x00", "design.toml is not UTF-8 text (byte 0). Save it as UTF-8 in a text editor."),
])
def test_a_file_that_is_no_design(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "design.toml"
    path.write_bytes(content)
    with pytest.raises(DesignError) as caught:
        read_design(path)
    assert str(caught.value).startswith(said)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="cannot be read: No such file"):
        read_design(tmp_path / "design.toml")


def test_every_key_of_the_written_file_stands_under_its_question() -> None:
    lines = design_text(STARTER).split("\n")
    keys = [i for i, line in enumerate(lines) if " = " in line]
    assert len(keys) == sum(len(type(section).model_fields) for _, section in STARTER if section)
    assert all(lines[i - 1].startswith("# ") for i in keys)


def test_a_file_without_a_line_means_what_it_has_always_meant(tmp_path: Path) -> None:
    """Old files rely on it, whatever a new file starts from."""
    (tmp_path / "design.toml").write_text(SIZED, encoding="utf-8")
    design = read_design(tmp_path / "design.toml")
    assert (design.frame.frequency, design.frame.cut, design.frame.level_base) == (3, "5/9", True)
    assert (design.strut.section, design.strut.material, design.strut.outer_mm, design.strut.wall_mm) == (
        "tube", "paper tube", 60.0, 4.0)
    assert (design.hub.material, design.hub.reach_mm, design.hub.plies, design.hub.ply_mm, design.hub.arm_depth_mm,
            design.hub.mass_kg) == ("birch plywood 12", 95.0, 1, 12.0, 45.0, 0.42)
    assert (design.raising.crown_carriers, design.crew.people) == (5, 8)
    assert (design.ground.stands_on, design.ground.wet, design.ground.held_by) == ("grass", True, "nothing")
    assert design.frame != STARTER.frame


numbers = st.floats(0.3, 49.0)
sizes = st.sampled_from(("diameter_m", "height_m"))


LIKE_NOTHING = "\u034f\u115f\u1160\u2800\u3164\uffa0" + "".join(map(chr, (*range(0xFE00, 0xFE10),
                                                                        *range(0xE0100, 0xE01F0))))


@st.composite
def designs(draw: st.DrawFn) -> Design:
    """Designs that keep all rules."""
    frequency = draw(st.integers(1, 16))
    name = draw(st.text(st.characters(exclude_categories=("C", "Z"), exclude_characters=LIKE_NOTHING), min_size=1,
                        max_size=60))
    frame = FrameSection.model_validate({
        "name": name, "prefix": draw(st.from_regex(r"[A-Z]{2,3}", fullmatch=True)), "frequency": frequency,
        "cut": draw(st.sampled_from(cuts(frequency))), draw(sizes): draw(numbers), "doorway": draw(st.booleans())})
    tube = draw(st.booleans())
    strut = StrutSection.model_validate({
        "section": "tube" if tube else "rod", "material": draw(st.sampled_from(sorted(MATERIALS))),
        "outer_mm": draw(st.floats(20.0, 500.0)), **({"wall_mm": draw(st.floats(0.1, 10.0))} if tube else {})})
    loads = tuple(draw(st.lists(st.floats(1e-6, 1e7), max_size=4)))
    hub = HubSection(test_loads_n=loads, test_lever_mm=draw(numbers), reach_mm=draw(numbers))
    return Design(frame=frame, strut=strut, hub=hub, spares=SparesSection(struts_each=draw(st.integers(0, 1000))),
                  crew=CrewSection(platform_m=draw(st.none() | numbers)), site=SiteSection(wifi_name="orchard"))


@settings(deadline=None)
@given(designs(), st.booleans())
def test_what_is_written_reads_back(tmp_path_factory: pytest.TempPathFactory, design: Design, comments: object) -> None:
    path = tmp_path_factory.getbasetemp() / "design.toml"
    path.write_text(design_text(design, comments=bool(comments)), encoding="utf-8", newline="\n")
    assert read_design(path) == design
