"""From a design to parts: numbers, spares, lengths, masses."""

import math
from collections import Counter
from dataclasses import replace
from itertools import combinations, islice

import pytest

from fieldapp.base.errors import DesignError, KitError
from fieldapp.demo.orchard_hall import orchard_hall
from fieldapp.frame.design import Design, FrameSection, HubSection, StrutSection
from fieldapp.kit import build_kit, with_parts
from fieldapp.kit.kit import Kit
from fieldapp.kit.numbering import reads_as, site_numbers
from fieldapp.kit.parts import next_part

METAL_HALF = Design(frame=FrameSection(frequency=4, cut="1/2", diameter_m=7.2),
                    strut=StrutSection(section="tube", material="EN AW-6060 T66", outer_mm=40.0, wall_mm=2.5),
                    hub=HubSection(reach_mm=75.0))
"""7.2 m, half a sphere, of aluminium tubes."""


def test_two_hubs_take_their_reach_of_every_strut() -> None:
    # Counts of the half of frequency 4: common practice, no source.
    kit = build_kit(METAL_HALF)
    assert (len(kit.frame.hubs), len(kit.frame.struts), len(kit.frame.strut_classes)) == (91, 250, 6)
    assert kit.frame.height_mm == pytest.approx(3600.0)
    for place in kit.frame.struts:
        assert kit.by_place[place.name].cut_length_mm == pytest.approx(place.centre_length_mm - 150.0, abs=0.01)


def test_parts_are_numbered_as_their_places(kit: Kit) -> None:
    for place, part in kit.by_place.items():
        assert f"-{place}-" in part.id
        assert part.part_class == (kit.frame.hub(place).hub_class if part.kind == "hub"
                                   else kit.frame.strut(place).strut_class)


def test_spares_follow_in_class_order(kit: Kit) -> None:
    spares = [part for part in kit.parts if part.is_spare]
    counts = Counter((part.kind, part.part_class) for part in spares)
    assert counts["hub", "6"] == 3  # the most common class
    assert {counts["hub", name] for name in ("1", "2L", "2R", "3L", "3R", "4", "5")} == {2}
    assert [part.id[3:7] for part in spares if part.kind == "strut"][:5] == ["S166", "S167", "S168", "S169", "S170"]
    assert [part.part_class for part in spares if part.kind == "strut"] == sorted("ABCD" * 4)


def test_mass_is_volume_times_density(kit: Kit) -> None:
    part = kit.by_place["S001"]
    assert part.cut_length_mm is not None
    assert part.mass_kg == pytest.approx(math.pi / 4 * 0.035**2 * part.cut_length_mm / 1000 * 420.0)
    part = build_kit(METAL_HALF).by_place["S001"]
    assert part.cut_length_mm is not None
    assert part.mass_kg == pytest.approx(math.pi * 0.0375 * 0.0025 * part.cut_length_mm / 1000 * 2700.0)
    assert kit.mass_kg == pytest.approx(sum(p.mass_kg for p in kit.by_place.values()))


def test_same_design_same_kit(kit: Kit) -> None:
    assert build_kit(orchard_hall()).parts == kit.parts


def test_reach_longer_than_the_strut_is_refused() -> None:
    with pytest.raises(DesignError, match=r"^hub.reach_mm is 140; .* 273.3 mm"):
        build_kit(Design(frame=FrameSection(frequency=2, cut="1/2", diameter_m=1.0), hub=HubSection(reach_mm=140.0)))


def test_stock_shorter_than_a_strut_is_refused() -> None:
    with pytest.raises(DesignError) as caught:
        build_kit(Design(frame=FrameSection(frequency=2, cut="1/2", diameter_m=4.0), hub=HubSection(reach_mm=100.0),
                         strut=StrutSection(stock_mm=1000.0)))
    assert str(caught.value) == ("strut.stock_mm is 1000, but strut B is cut 1036.1 mm long; allowed is that or more. "
                                 "Buy longer stock, or build a smaller frame.")


def test_a_part_made_later_takes_the_next_free_number(kit: Kit) -> None:
    first = next_part(kit, "hub", "5")
    second = next_part(kit, "hub", "5", (first,))
    assert [part.id[3:6] for part in (first, second)] == ["H79", "H80"]
    grown = with_parts(kit, (second, first))
    assert grown.part(first.id) is first
    assert [part.kind for part in grown.parts] == sorted(part.kind for part in grown.parts)


def test_what_laptops_make_on_site_is_numbered_by_laptop(kit: Kit) -> None:
    """Printed no longer than S1234; nobody's number is another's, nor reads as the ID of another part."""
    laptops = [f"LAPTOP{number:02d}" for number in range(60)]
    made = {laptop: next_part(kit, "strut", "A", laptop=laptop) for laptop in laptops}
    assert all(1000 <= part.number <= 9999 and len(part.id) == len("OH-S1234-C") for part in made.values())
    same = sum(made[a].number == made[b].number for a, b in combinations(laptops, 2))
    assert same <= 6, "of 1770 pairs one in 900 is to be expected: more than six once in a hundred"
    assert next_part(kit, "strut", "A", made.values()).id == next_part(kit, "strut", "A").id
    assert next_part(kit, "strut", "A", made.values(), laptop=laptops[0]).number == made[laptops[0]].number + 1
    for laptop in (laptop for laptop in laptops if _first_to_pass_over(kit, laptop)):
        given = [next_part(kit, "strut", "A", laptop=laptop)]
        for _ in range(8):
            given.append(next_part(kit, "strut", "A", given, laptop=laptop))
        assert _first_to_pass_over(kit, laptop) not in {part.number for part in given}
    assert any(_first_to_pass_over(kit, laptop) for laptop in laptops)


def _first_to_pass_over(kit: Kit, laptop: str) -> int | None:
    """Of a laptop's first ten numbers one that looks like the whole ID of another part."""
    numbers = islice(site_numbers(kit.frame, "strut", laptop), 10)
    return next((n for n in numbers if reads_as("OH", "strut", n, width=3) in kit.by_id), None)


def test_a_part_of_no_class_or_with_a_taken_number_is_refused(kit: Kit) -> None:
    with pytest.raises(KitError, match="strut class E is not in this frame; it has A, B, C, D"):
        next_part(kit, "strut", "E")
    with pytest.raises(KitError, match="two parts of the kit have the same ID"):
        with_parts(kit, [replace(kit.parts[0], mass_kg=1.0)])
