"""The checklist: defaults by material, limits, and a message for every rule of its format."""

from dataclasses import fields

import pytest

from fieldapp.base.errors import KitError
from fieldapp.base.said import in_words
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.kit.checklist import Check, limits_said, needed_lines, possible_of, result_of
from fieldapp.kit.checklist_defaults import checks_text, default_checks, write_checks
from fieldapp.kit.checklist_file import checklist_of, read_checks
from fieldapp.kit.kit import Part

SMALL = FrameSection(frequency=2, cut="1/2", diameter_m=4.4)
PAPER = Design(frame=SMALL, strut=StrutSection(material="paper tube"),
               hub=HubSection(material="birch plywood 18", ply_mm=18.0, plies=1))
METAL = Design(frame=SMALL, strut=StrutSection(material="S235"), hub=HubSection(material="S235", joint="bolted end"))
POLE = Part("OH-S001-K", "strut", 1, "A", "S001", 1.0, 1085.0)
LENGTH = Check("length", "Tape.", "ours", unit="mm", at_least=-2, at_most=1, counts_as="length")
MOISTURE = Check("moisture", "Meter.", "ours", unit="%", at_most=20, counts_as="moisture")
FINE = """
[[strut]]
item = "ends"
look = "Look."
source = "ours"
[[hub]]
item = "arms"
look = "Look."
source = "ours"
"""


@pytest.mark.parametrize("design", [orchard_hall(), PAPER, METAL], ids=["pine", "paper", "steel"])
def test_defaults_read_back_and_every_line_has_a_source(design):
    checklist = default_checks(design)
    assert checklist_of(checks_text(checklist)) == checklist
    for check in (*checklist.lines("hub"), *checklist.lines("strut")):
        assert check.source
    assert checklist.lines("hub")[0].critical
    assert checklist.lines("hub")[-1].item == "label readable"


def test_defaults_suit_the_material():
    pine, paper, steel = (default_checks(design) for design in (orchard_hall(), PAPER, METAL))
    assert paper.check("strut", "soft spots").critical
    assert pine.check("strut", "soft spots") is None
    assert pine.check("strut", "moisture").at_most == 20.0
    assert paper.check("strut", "moisture").at_most == 7.0
    assert steel.check("strut", "moisture") is None
    assert pine.check("hub", "glue lines").critical
    assert paper.check("hub", "glue lines") is None
    assert "length" not in [check.item for check in needed_lines(pine.lines("strut"))]


def test_limits_of_length_are_differences_from_the_parts_own():
    check = default_checks(orchard_hall()).check("strut", "length")
    pole = Part("OH-S001-K", "strut", 1, "A", "S001", 1.0, 1085.2)
    assert in_words(limits_said(check, pole)) == "1084.2 to 1086.2 mm"
    assert [result_of(check, pole, value) for value in (1084.1, 1084.2, 1086.2, 1086.3)] == [
        "fail", "pass", "pass", "fail"]


def test_an_edited_list_is_never_written_over(tmp_path):
    assert write_checks(tmp_path, orchard_hall()) == tmp_path / "checks.toml"
    (tmp_path / "checks.toml").write_text(FINE)
    assert write_checks(tmp_path, orchard_hall()) is None
    assert read_checks(tmp_path).strut[0].item == "ends"


LINE = "[[strut]]\nitem = \"ends\"\nlook = \"Look.\"\nsource = \"ours\"\n"
WRONG = {
    "critical = 1": "[[strut]] 1 (ends): critical is 1; allowed are true and false. "
                    "Write true if a part that fails must not be used.",
    "each = \"side\"": "[[strut]] 1 (ends): each is \"side\"; allowed are \"arm\" and \"end\". "
                       "Leave the line out if it is said of the whole part.",
    "each = \"arm\"": "[[strut]] 1 (ends): each is \"arm\", but this is a line of [[strut]]; allowed is \"end\". "
                      "Correct it, or remove it.",
    "when = \"often\"": "[[strut]] 1 (ends): when is \"often\"; allowed are \"always\" and \"in doubt\". "
                        "Leave the line out for \"always\".",
    "unit = 3\nat_most = 2": "[[strut]] 1 (ends): unit is 3; allowed are words in quotes, 1 to 12 characters on one "
                             "line. Write mm, % or whatever the tool says, or leave the line out for pass or fail.",
    "unit = \"mm\"": "[[strut]] 1 (ends): unit is \"mm\", but no limit is given; allowed is a measured value with "
                     "at_least, at_most or both. Add a limit, or remove the unit for pass or fail.",
    "at_most = 2": "[[strut]] 1 (ends): at_most is 2, but the line has no unit; allowed are limits for measured "
                   "values. Add unit, or remove the limit.",
    "unit = \"mm\"\nat_most = \"2\"": "[[strut]] 1 (ends): at_most is \"2\"; allowed are numbers. "
                                      "Leave the line out if there is no upper limit.",
    "unit = \"mm\"\nat_least = nan": "[[strut]] 1 (ends): at_least is nan; allowed are numbers. "
                                     "Leave the line out if there is no lower limit.",
    "unit = \"mm\"\nat_least = 3\nat_most = 2": "[[strut]] 1 (ends): at_least is 3, but at_most is 2; allowed is "
                                                "at_least no greater than at_most. Exchange the two, or correct one.",
    "counts_as = \"weight\"": "[[strut]] 1 (ends): counts_as is \"weight\"; allowed are \"length\" and \"moisture\". "
                              "Leave the line out if the statics have no use for the number.",
    "counts_as = \"moisture\"\nunit = \"g\"\nat_most = 2": "[[strut]] 1 (ends): counts_as is \"moisture\", but the "
                                                          "unit is \"g\"; allowed is unit = \"%\". Correct the unit.",
    "counts_as = \"length\"\nunit = \"mm\"\nat_most = 2\neach = \"end\"":
        "[[strut]] 1 (ends): counts_as is \"length\", but the line is said of each end; allowed is one number for the "
        "whole part. Remove each.",
    "criticle = true": "[[strut]] 1 (ends): criticle is not a key; the nearest is critical. "
                       "Correct it, or put a # before the line.",
}
WHOLE = {
    FINE.replace("look = \"Look.\"\n", "", 1): "[[strut]] 1 (ends): look is missing; allowed are words in quotes. "
                                               "Say how to look, as you would to a newcomer.",
    FINE.replace("item = \"ends\"", "item = \"\""): "[[strut]] 1 (): item is \"\"; allowed are words in quotes, 1 to "
                                                    "60 characters on one line. Give the line a short name.",
    FINE + LINE: "[[strut]]: item \"ends\" occurs 2 times; allowed is each name once. Rename or remove one.",
    FINE.partition("[[hub]]")[0]: "[[hub]] has no lines; allowed is one or more, or nothing would be looked at on a "
                                  "hub. Write [[hub]] on a line of its own, and below it item, look and source.",
    "strut = 3\n" + FINE.partition("[[hub]]")[2].join(["[[hub]]", ""]):
        "strut is 3; allowed is a list of lines. Write [[strut]] with two brackets, on a line of its own above each "
        "item.",
    FINE + "[[labels]]\nitem = \"a\"": "labels is not a part of the list; the nearest is [[label]]. "
                                       "Correct it, or remove it.",
    FINE.replace("source = \"ours\"\n", "", 1): "[[strut]] 1 (ends): source is missing; allowed are words in quotes. "
                                                "Say where the limit comes from; \"common practice\" will do.",
    FINE.replace("item = \"ends\"\n", ""): "[[strut]] 1: item is missing; allowed are words in quotes. "
                                           "Give the line a short name.",
    FINE.partition("[[hub]]")[2].join(["[[hub]]", ""]):
        "[[strut]] has no lines; allowed is one or more, or nothing would be looked at on a strut. Write [[strut]] on "
        "a line of its own, and below it item, look and source.",
    "zzz = 1\n" + FINE: "zzz is not a part of the list; allowed are [[strut]], [[hub]], [[label]] and [seen_again]. "
                        "Correct it, or remove it.",
    FINE + "each = \"end\"": "[[hub]] 1 (arms): each is \"end\", but this is a line of [[hub]]; allowed is \"arm\". "
                             "Correct it, or remove it.",
    FINE + LINE.replace("strut", "label") + "each = \"arm\"":
        "[[label]] 1 (ends): each is \"arm\", but this is a line of [[label]]; allowed is no such line. Correct it, or "
        "remove it.",
    FINE + "counts_as = \"moisture\"": "[[hub]] 1 (arms): counts_as is \"moisture\", but the line has no unit; allowed "
                                       "is unit = \"%\". Correct the unit.",
    FINE + "counts_as = \"length\"\nunit = \"mm\"\nat_most = 1":
        "[[hub]] 1 (arms): counts_as is \"length\", but this is a line of [[hub]]; allowed is that only in [[strut]]. "
        "Remove it.",
}


@pytest.mark.parametrize(("lines", "message"), WRONG.items(), ids=WRONG)
def test_every_rule_of_a_line_has_its_message(lines, message):
    with pytest.raises(KitError) as error:
        checklist_of(FINE.replace("source = \"ours\"", f"source = \"ours\"\n{lines}", 1))
    assert str(error.value) == f"checks.toml: {message}"


@pytest.mark.parametrize("key", [field.name for field in fields(Check)])
def test_every_key_of_the_format_refuses_a_wrong_value_in_words(key):
    others = [line for line in FINE.splitlines()[2:5] if not line.startswith(f"{key} ")]
    text = "\n".join(["[[strut]]", *others, f"{key} = 2026-05-01", "[[hub]]" + FINE.partition("[[hub]]")[2]])
    with pytest.raises(KitError) as error:
        checklist_of(text)
    first = str(error.value).splitlines()[0]
    assert first.startswith("checks.toml: [[strut]] 1")
    assert f": {key} is 2026-05-01; allowed " in first
    assert first.count(". ") >= 1                            # what to do follows what is allowed


@pytest.mark.parametrize(("text", "message"), WHOLE.items(), ids=range(len(WHOLE)))
def test_every_rule_of_the_file_has_its_message(text, message):
    with pytest.raises(KitError) as error:
        checklist_of(text)
    assert str(error.value) == f"checks.toml: {message}"


def test_two_numbers_for_one_use_no_toml_no_text_and_no_file(tmp_path):
    twice = "".join(f"[[strut]]\nitem = \"{name}\"\nlook = \"Look.\"\nsource = \"ours\"\nunit = \"%\"\nat_most = 20\n"
                    f"counts_as = \"moisture\"\n" for name in "ab")
    with pytest.raises(KitError, match=r"2 lines have counts_as = \"moisture\"; allowed is one\."):
        checklist_of(FINE + twice)
    with pytest.raises(KitError, match=r"checks.toml cannot be read: .* A line is either \[\[strut\]\]"):
        checklist_of("[[strut]\n")
    with pytest.raises(KitError, match=r"checks.toml does not exist; .* Run raisebook make"):
        read_checks(tmp_path)
    (tmp_path / "checks.toml").mkdir()
    with pytest.raises(KitError, match=r"checks.toml cannot be read: .* Check path and permissions\."):
        read_checks(tmp_path)
    (tmp_path / "checks.toml").rmdir()
    (tmp_path / "checks.toml").write_bytes(b"\xff")
    with pytest.raises(KitError, match=r"not UTF-8 text \(byte 0\)"):
        read_checks(tmp_path)


@pytest.mark.parametrize(("check", "value", "possible"), [
    (LENGTH, 1.5, False), (LENGTH, 108.5, False), (LENGTH, 600.0, True), (LENGTH, 1085.0, True),
    (LENGTH, 10850.0, False),
    (MOISTURE, 250.0, False), (MOISTURE, -1.0, False), (MOISTURE, 99.0, True)])
def test_what_cannot_have_been_measured(check, value, possible):
    low, high = possible_of(check, POLE)
    assert (low <= value <= high) is possible
