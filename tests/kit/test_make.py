"""`raisebook new`, `make` and `labels` as a maker runs them."""

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from numpy.linalg import LinAlgError

from fieldapp.base.errors import KitError
from fieldapp.cli import main
from fieldapp.prints import folder as folder_paper

RESTORE = "Restore the file from a backup; it was not touched."


def run(*words: object) -> Result:
    return CliRunner().invoke(main, [str(word) for word in words])


def answered(folder: Path, **answers: object) -> Path:
    """A folder with a new design and some answers changed."""
    assert run("new", folder).exit_code == 0
    path = folder / "design.toml"
    text = path.read_text(encoding="utf-8")
    for key, value in answers.items():
        text, count = re.subn(rf"^(?:# )?{key} = .*$", f"{key} = {value}", text, count=1, flags=re.MULTILINE)
        assert count == 1
    path.write_text(text, encoding="utf-8")
    return folder


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = answered(tmp_path_factory.mktemp("kit") / "hall", frequency=1, cut='"2/3"', diameter_m=2.2, struts_each=1,
                      ply_mm=6, mass_kg=0.72)
    assert run("make", folder).exit_code == 0
    return folder


def test_new_then_make_writes_everything(made: Path) -> None:
    assert {"design.toml", "kit.json", "paper/labels.pdf", "tables/struts.csv", "tables/hubs.csv", "tables/arms.csv",
            "tables/cutting.csv", "tables/parts.csv", "tables/steps.csv", "tables/stages.csv"} <= set(snapshot(made))


def test_make_says_what_was_made_and_again_the_same_bytes(made: Path) -> None:
    before = snapshot(made)
    result = run("make", made)
    assert result.exit_code == 0
    assert snapshot(made) == before
    first, _, rest = result.stdout.partition("\n")
    assert first.startswith("Look first: The design says that a hub weighs 0.72 kg; as drawn ")
    assert rest.startswith(
        "My frame: 11 hubs in 2 classes, 25 struts in 1 length\n"
        "Spares: 0 hubs, 1 struts\n"
        "Height 1.59 m, radius 1.10 m, mass 11.6 kg\n"
        "Struts are cut 916.6 mm (A); two hubs take 240 mm of each\n"
        "Stock: 13 bars of 2400 mm (no plan needs fewer), spares included\n"
        "The labelled parts are as they were.\n"
        "Raising: ")
    assert result.stdout.endswith(f"Wrote {made / 'kit.json'}, {made / 'tables'}, {made / 'paper'} "
                                  f"and {made / 'workshop'}\n")


def test_new_leaves_a_design_alone(made: Path) -> None:
    before = snapshot(made)
    result = run("new", made)
    assert (result.exit_code, result.stderr) == (
        3, f"raisebook: {made / 'design.toml'} exists already; allowed is a folder without one. "
           f"Edit that file, or choose another folder.\n")
    assert snapshot(made) == before


def test_a_folder_that_is_not_a_kit(tmp_path: Path) -> None:
    result = run("make", tmp_path)
    assert (result.exit_code, result.stderr) == (
        3, f"raisebook: {tmp_path} is not a kit folder: it has no design.toml. Check the path, or begin one with: "
           f"raisebook new {tmp_path}\n")
    result = run("labels", tmp_path)
    assert (result.exit_code, result.stderr) == (
        3, f"raisebook: {tmp_path} is not a kit folder: it has no kit.json. Check the path, or begin one with: "
           f"raisebook new {tmp_path}\n")


@pytest.mark.parametrize(("answers", "said"), [
    ({"frequency": 17}, "design.toml: frame.frequency is 17; allowed are whole numbers from 1 to 16. "
                        "Choose the number of struts along one edge of the icosahedron."),
    ({"frequency": 2.5}, "design.toml: frame.frequency is 2.5; allowed are whole numbers from 1 to 16. "
                         "Choose the number of struts along one edge of the icosahedron."),
    ({"frequency": 0, "prefix": '"7"'},
     'design.toml: frame.prefix is "7"; allowed are two or three capital letters A to Z. Choose letters that no other '
     "kit in your store uses.\n"
     "design.toml: frame.frequency is 0; allowed are whole numbers from 1 to 16. "
     "Choose the number of struts along one edge of the icosahedron."),
    ({"cut": '"5/7"'}, "design.toml: frame.cut is '5/7'; frequency 2 can be cut at 1/6, 1/3, 1/2, 2/3, 5/6, full; "
                       "the nearest is 2/3."),
    ({"stock_mm": 800}, "strut.stock_mm is 800, but strut B is cut 872.5 mm long; allowed is that or more. "
                         "Buy longer stock, or build a smaller frame."),
    ({"arm_depth_mm": 1e-300}, "design.toml: hub.arm_depth_mm is 1e-300, beyond all reason; what is computed means "
                               "something from 1 to 1000. Measure the narrowest place of an arm."),
    ({"test_loads_n": "[300.0, 1e300]", "test_lever_mm": 600},
     "design.toml: hub.test_loads_n is 1e+300, beyond all reason; what is computed means something from 0.5 to 1e+06. "
     "List one number above zero for each arm you broke, for example [118, 131, 124]."),
    ({"leave_out": [f"H{number:02d}" for number in range(1, 27)]},
     "design.toml: raising.leave_out names 26 of 26 hubs; allowed is less than half of them. Leave out what makes a "
     "door or a window; for a smaller frame choose another cut or frequency."),
    ({"diameter_m": -1}, "design.toml: frame.diameter_m is -1; allowed are numbers from 0.2 to 100. "
                         "Give metres, for example 6.4."),
    ({"reach_mm": 600}, "hub.reach_mm is 600; the shortest struts (class A) measure 983.8 mm from hub centre to hub "
                        "centre, so it must be below 491.9; make the reach shorter or the frame larger"),
])
def test_a_design_that_cannot_be_built(tmp_path: Path, answers: dict[str, object], said: str) -> None:
    folder = answered(tmp_path / "hall", **answers)
    result = run("make", folder)
    assert result.exit_code == 2
    assert result.stderr.removeprefix("… frame and kit\n") == f"raisebook: {said}\n"
    assert set(snapshot(folder)) == {"design.toml"}


def test_what_the_algebra_cannot_solve_is_a_message(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def singular(*_what: object) -> None:
        raise LinAlgError("Singular matrix")

    folder = answered(tmp_path / "hall")
    monkeypatch.setattr(folder_paper, "before_anything", singular)
    result = run("make", folder)
    assert (result.exit_code, "cannot be computed with these answers (Singular matrix)" in result.stderr) == (2, True)
    assert set(snapshot(folder)) == {"design.toml"}


def test_a_sheet_that_cannot_be_written_leaves_the_whole_folder_as_it_was(made: Path,
                                                                          monkeypatch: pytest.MonkeyPatch) -> None:
    """The last of the paper: by then kit, tables and labels are there, and in no place yet."""
    def full(*_what: object, **_how: object) -> None:
        raise KitError("paper/join.pdf cannot be written: No space left on device")

    path, before = made / "design.toml", snapshot(made)
    for name in ("write_workshop", "_write_labels", "_raising"):        # they take long, and are not asked about here
        monkeypatch.setattr(folder_paper, name, lambda *_what, **_how: ())
    monkeypatch.setattr(folder_paper, "write_site_paper", full)
    text = path.read_text(encoding="utf-8")
    try:
        path.write_text(text.replace("struts_each = 1", "struts_each = 2"), encoding="utf-8")
        assert run("make", made).exit_code == 3
    finally:
        path.write_text(text, encoding="utf-8")
    assert snapshot(made) == before


def test_a_labelled_kit_refuses_another_shape(made: Path) -> None:
    path = made / "design.toml"
    text = path.read_text(encoding="utf-8")
    before = snapshot(made)
    try:
        path.write_text(text.replace("\nreach_mm = 120", "\nreach_mm = 100"), encoding="utf-8")
        result = run("make", made)
    finally:
        path.write_text(text, encoding="utf-8")
    assert result.exit_code == 4
    assert "26 of 37 labelled parts would change; allowed is none, so nothing was written." in result.stderr
    assert snapshot(made) == before


def test_more_spares_get_labels_of_their_own_and_corrections_are_named(made: Path, tmp_path: Path) -> None:
    folder = shutil.copytree(made, tmp_path / "hall")
    text = (folder / "design.toml").read_text(encoding="utf-8")
    for old, new in (("struts_each = 1", "struts_each = 2"), ("mass_kg = 0.72", "mass_kg = 0.73"),
                     ("10.0.0.1", "10.0.0.9")):
        text = text.replace(old, new)
    (folder / "design.toml").write_text(text, encoding="utf-8")
    result = run("make", folder)
    assert result.stdout.split("\n")[6:10] == [
        "MF-S027-A added; the labels for what is new: paper/labels-new.pdf",
        "The labelled parts are as they were.",
        "Taken as a better description of the same parts: hub.mass_kg was 0.72, is 0.73",
        "Labels printed before say the old site address: reprint them, or scan them inside the site's page, "
        "which looks only at the ID"]
    assert (folder / "paper" / "labels-new.pdf").is_file()


def test_a_file_in_the_way_is_a_message(made: Path, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    result = run("labels", made, "S13", "--out", tmp_path / "file" / "some.pdf")
    assert result.exit_code == 1
    assert result.stderr.endswith(f"raisebook: {tmp_path / 'file'} cannot be read or written: File exists. Check the "
                                  f"path, its permissions and the space on the disk.\n")


@pytest.mark.parametrize(("content", "said"), [
    ('{"format": 2}', "kit.json has format 2, but this raisebook reads formats up to 1. "
                      "Update raisebook on this computer; the file was not touched."),
    ('{"format": 1, "des', "kit.json ends too early (line 1: *). " + RESTORE),
])
@pytest.mark.parametrize("command", ["make", "labels"])
def test_a_kit_file_that_cannot_be_read(tmp_path: Path, command: str, content: str, said: str) -> None:
    """A star stands for the words of Python's own reader, which change with its version."""
    folder = answered(tmp_path / "hall")
    (folder / "kit.json").write_text(content, encoding="utf-8")
    result = run(command, folder)
    before, _, after = said.partition("*")
    assert result.exit_code == 3
    assert result.stderr.startswith(f"raisebook: {before}")
    assert result.stderr.endswith(f"{after}\n")
    assert (folder / "kit.json").read_text(encoding="utf-8") == content


def test_labels_of_some_parts(made: Path, tmp_path: Path) -> None:
    ids = [part["id"] for part in json.loads((made / "kit.json").read_text(encoding="utf-8"))["parts"]]
    out = tmp_path / "some.pdf"
    result = run("labels", made, ids[0].lower(), "S13.2", "--start", "3", "--out", out)
    assert (result.exit_code, result.stdout) == (0, f"Wrote {out}\n")
    assert out.read_bytes().startswith(b"%PDF")


def test_labels_of_a_part_of_another_kit(made: Path) -> None:
    result = run("labels", made, "OH-S053-K")
    assert result.exit_code == 2
    assert result.stderr.endswith("raisebook: OH-S053-K: of kit OH, not of this one. "
                                  "Put the part aside, or look at the label again.\n")


@pytest.mark.thorough
def test_a_whole_sphere_on_one_hub_is_made_and_its_props_are_named(tmp_path: Path) -> None:
    folder = answered(tmp_path / "ball", frequency=1, cut='"full"', diameter_m=2, mass_kg=0.31)
    result = run("make", folder)
    assert result.exit_code == 0
    assert result.stdout.startswith(
        "My frame: 12 hubs in 1 class, 30 struts in 1 length\n"
        "Spares: 0 hubs, 0 struts\n"
        "Height 2.00 m, radius 1.00 m, mass 7.6 kg\n"
        "Struts are cut 811.5 mm (A); two hubs take 240 mm of each\n")
    assert re.search(r"^When all is in, the frame does not stand by itself: "
                     r"hold or prop H\d\d and H\d\d for as long as it is up$", result.stdout, re.MULTILINE)
