"""A labelled kit is never renumbered."""

import re
from pathlib import Path
from typing import Any

import pytest

from fieldapp.base.errors import KitFrozenError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import Design
from fieldapp.kit.file import kit_text, made_kit, read_kit, write_kit
from fieldapp.kit.frozen import GO_ON
from fieldapp.kit.kit import Kit
from fieldapp.kit.parts import next_part


def changed(section: str, **answers: Any) -> Design:
    """The demo's design with some answers changed."""
    values = orchard_hall().model_dump()
    values[section] |= answers
    return Design.model_validate(values)


def test_same_design_same_bytes(folder: Path, kit: Kit) -> None:
    made = made_kit(folder, kit.design)
    assert kit_text(made.kit).encode() == (folder / "kit.json").read_bytes()
    assert (made.was_labelled, made.added, made.answers) == (True, (), ())


@pytest.mark.parametrize("design", [
    changed("hub", reach_mm=75.0), changed("frame", prefix="OX"), changed("frame", frequency=4, cut="1/2"),
    changed("frame", cut="4/9"), changed("frame", tolerance_mm=20.0), changed("frame", tolerance_deg=5.0),
    changed("frame", diameter_m=6.5), changed("frame", level_base=False), changed("frame", cut="2/3"),
], ids=lambda design: str(design.frame)[-60:])
def test_what_would_alter_a_labelled_part_is_refused(folder: Path, design: Design) -> None:
    before = (folder / "kit.json").read_bytes()
    with pytest.raises(KitFrozenError):
        made_kit(folder, design)
    assert (folder / "kit.json").read_bytes() == before


def test_the_refusal_lists_every_part_answers_and_ways_on(folder: Path, kit: Kit) -> None:
    with pytest.raises(KitFrozenError) as caught:
        made_kit(folder, changed("hub", reach_mm=75.0))
    lines = str(caught.value).split("\n")
    assert lines[0] == "kit.json: 181 of 259 labelled parts would change; allowed is none, so nothing was written."
    assert lines[1] == "  cut length 1129.72 → 1169.72 mm:"
    assert lines[2].startswith("    OH-S001-7, OH-S003-3, ")
    listed = re.findall(r"OH-[HS][0-9]+-[0-9A-Z]", str(caught.value))
    assert sorted(listed) == sorted(part.id for part in kit.parts if part.kind == "strut")
    assert lines[-2:] == ["Answers that changed: hub.reach_mm was 95, is 75.", GO_ON]


@pytest.mark.parametrize("design", [
    changed("crew", people=30), changed("site", address="http://10.0.0.7:8000"), changed("frame", name="New Hall"),
    changed("hub", mass_kg=0.51), changed("strut", density_kg_m3=500.0), changed("labels", rows=6),
    changed("spares", struts_each=0),
], ids=["crew", "address", "name", "mass", "density", "labels", "fewer spares"])
def test_what_labels_do_not_say_may_change(folder: Path, kit: Kit, design: Design) -> None:
    made = made_kit(folder, design)
    assert [part.id for part in made.kit.parts] == [part.id for part in kit.parts]
    assert len(made.answers) == 1


def test_more_spares_are_added_behind_the_old_ones(folder: Path, kit: Kit) -> None:
    made = made_kit(folder, changed("spares", hubs_each_other=3, struts_each=5))
    old = {part.id: part for part in kit.parts}
    assert all(made.kit.by_id[part_id] == part for part_id, part in old.items())
    assert [part.id[3:7] for part in made.added] == [
        "H79-", "H80-", "H81-", "H82-", "H83-", "H84-", "H85-", "S182", "S183", "S184", "S185"]
    write_kit(folder, made.kit)
    assert read_kit(folder).parts == made.kit.parts


def test_numbers_of_parts_made_on_site_are_taken(folder: Path, kit: Kit) -> None:
    on_site = next_part(kit, "strut", "A")
    made = made_kit(folder, changed("spares", struts_each=5), (on_site,))
    assert on_site.id not in made.kit.by_id
    assert {part.number for part in made.added} == {183, 184, 185, 186}
