"""Parts of one class stand in for each other; parts of another are told why not."""

from dataclasses import replace

import pytest

from fieldapp.base.errors import FrameError
from fieldapp.base.said import in_words
from fieldapp.kit.interchange import difference, hub_turns
from fieldapp.kit.kit import Kit
from fieldapp.kit.parts import next_part


def test_as_many_turns_as_the_class_has_symmetry_each_a_real_fit(kit: Kit) -> None:
    symmetry = {c.name: c.symmetry for c in kit.frame.hub_classes}
    for part in (part for part in kit.parts if part.kind == "hub"):
        for place in kit.frame.hubs:
            turns = hub_turns(kit, part, place.name)
            if place.hub_class != part.part_class:
                assert turns == ()
                continue
            assert len(turns) == symmetry[part.part_class]
            assert all(turn.off_deg <= 2.0 * kit.design.frame.tolerance_deg for turn in turns)


def test_a_crown_hub_fits_in_five_positions(kit: Kit) -> None:
    crown = kit.frame.hubs[-1]
    turns = hub_turns(kit, kit.by_place[crown.name], crown.name)
    assert [turn.place_arm(1) for turn in turns] == [1, 2, 3, 4, 5]
    assert [turn.keeps_numbers for turn in turns] == [True, False, False, False, False]


def test_turned_arms_keep_length_classes(kit: Kit) -> None:
    # Congruent hubs of this frame sit among congruent struts: a wrong turn would show here.
    lengths = {strut.name: strut.strut_class for strut in kit.frame.struts}
    hubs = [hub for hub in kit.frame.hubs if hub.hub_class == "2L"]
    part = kit.by_place[hubs[0].name]
    for hub in hubs:
        turn, = hub_turns(kit, part, hub.name)
        assert all(lengths[hubs[0].arms[a - 1].strut] == lengths[hub.arms[b - 1].strut] for a, b in turn.arms)


def test_words_for_the_wrong_part(kit: Kit) -> None:
    hub = {name: next_part(kit, "hub", name) for name in ("2L", "2R", "3L", "4", "5")}
    place = {h.hub_class: h.name for h in kit.frame.hubs}
    strut = {s.strut_class: s.name for s in kit.frame.struts}
    assert in_words(difference(kit, next_part(kit, "strut", "D"), strut["C"])) == "28 mm too long"
    assert in_words(difference(kit, next_part(kit, "strut", "A"), strut["D"])) == "204 mm too short"
    assert difference(kit, next_part(kit, "strut", "A"), strut["A"]) is None
    assert in_words(difference(kit, next_part(kit, "strut", "A"), place["5"])) == "a strut where a hub belongs"
    assert in_words(difference(kit, hub["2L"], place["2R"])) == "mirror image of this hub"
    assert in_words(difference(kit, hub["5"], place["4"])) == "5 arms where 6 belong"
    assert difference(kit, hub["2R"], place["2R"]) is None
    words = in_words(difference(kit, hub["3L"], place["4"]))
    assert words is not None
    assert words.endswith(" points 4.2° elsewhere")


def test_small_differences_keep_a_decimal(kit: Kit) -> None:
    near = tuple(replace(c, centre_length_mm=1000.0 + i * 1.5) for i, c in enumerate(kit.frame.strut_classes))
    close = replace(kit, frame=replace(kit.frame, strut_classes=near))
    place = next(s.name for s in kit.frame.struts if s.strut_class == "A")
    assert in_words(difference(close, next_part(close, "strut", "B"), place)) == "1.5 mm too long"


def test_a_place_that_does_not_exist(kit: Kit) -> None:
    with pytest.raises(FrameError, match="there is no hub place H99"):
        hub_turns(kit, kit.parts[0], "H99")
