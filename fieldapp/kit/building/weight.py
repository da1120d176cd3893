"""What the design says that a hub weighs, against its drawn blanks."""

from collections.abc import Iterator

from fieldapp.base.said import Number, say
from fieldapp.kit.building.record import Building, Hindrance
from fieldapp.kit.hub_outline import blank_mass_kg

MASS_APART = 0.10
"""Part by which the mass in the design may differ from the mean of the blanks without a word [1].
Source: our choice. Test: tests/kit/test_hub_outline.py"""


def weight(of: Building) -> Iterator[Hindrance]:
    """A hub that is said to weigh something else than what is cut; pins and glue may well make it heavier."""
    blanks = [(each.count, blank_mass_kg(each, of.design)) for each in of.frame.hub_classes]
    drawn = [(count, mass) for count, mass in blanks if mass is not None]
    if len(drawn) < len(blanks):
        return
    mean = sum(count * mass for count, mass in drawn) / sum(count for count, _ in drawn)
    said_kg = of.design.hub.mass_kg
    if abs(said_kg - mean) > MASS_APART * mean:
        masses = [mass for _, mass in drawn]
        yield Hindrance("mass", False, say(
            "The design says that a hub weighs {said} kg; as drawn the blanks weigh {least} to {most} kg, {mean} on "
            "average. The heavier counts. Weigh one, and write what it weighs.", said=Number(said_kg, 2),
            least=Number(min(masses), 2), most=Number(max(masses), 2), mean=Number(mean, 2)))
