"""What answers about ground and pegs demand of each other: one small rule each, as in `frame.design_rules`."""

from collections.abc import Iterator

from fieldapp.frame.design import Design
from fieldapp.frame.rule import DesignRule

PULLS = ("pull_test_up_n", "pull_test_sideways_n")
WRITTEN = ("holds_up_n", "holds_sideways_n")
IN_THE_GROUND = ("pegs", "screwed anchors")


def _source(design: Design) -> Iterator[str]:
    ground = design.ground
    for key in ("friction", "cohesion_kpa"):
        if getattr(ground, key) is not None and ground.source is None:
            yield (f"ground.source is missing, but ground.{key} is {getattr(ground, key):g}; a value of your own needs "
                   f"a few words on where it comes from. Write who measured it, or put a # before ground.{key}.")


def _cohesion(design: Design) -> Iterator[str]:
    ground = design.ground
    if ground.cohesion_kpa is not None and ground.stands_on != "clay":
        yield (f"ground.cohesion_kpa is {ground.cohesion_kpa:g}, but ground.stands_on is \"{ground.stands_on}\"; "
               f"cohesion is allowed on \"clay\" only. Put a # before the line, or give ground.friction instead.")


def _pegs_in_a_floor(design: Design) -> Iterator[str]:
    ground = design.ground
    if ground.held_by == "pegs" and not ground.table.takes_pegs:
        yield (f"ground.held_by is \"pegs\", but no peg goes into \"{ground.stands_on}\"; allowed there are "
               f"\"nothing\", \"ballast\" or \"screwed anchors\". Choose one of these.")


def _values(design: Design) -> Iterator[str]:
    ground = design.ground
    given = [key for key in (*PULLS, *WRITTEN) if getattr(ground, key) not in (None, ())]
    if given and ground.held_by not in IN_THE_GROUND:
        yield (f"ground.{given[0]} is given, but ground.held_by is \"{ground.held_by}\"; it is a value of \"pegs\" or "
               f"\"screwed anchors\". Set ground.held_by, or put a # before the line.")
    if any(getattr(ground, key) is not None for key in WRITTEN) and ground.holds_source is None:
        yield ("ground.holds_source is missing, but a value from a sheet is given; it needs a few words on where it "
               "comes from. Name the sheet or the engineer, or use pull tests.")


def _ballast(design: Design) -> Iterator[str]:
    ground = design.ground
    if ground.held_by == "ballast" and ground.ballast_kg is None:
        yield ("ground.ballast_kg is missing, but ground.held_by is \"ballast\"; allowed are numbers above 0. "
               "Weigh one weight and give its mass in kg.")
    if ground.ballast_kg is not None and ground.held_by != "ballast":
        yield (f"ground.ballast_kg is {ground.ballast_kg:g}, but ground.held_by is \"{ground.held_by}\"; it is a value "
               f"of \"ballast\". Set ground.held_by to \"ballast\", or put a # before the line.")


def _which_feet(design: Design) -> Iterator[str]:
    ground = design.ground
    if ground.which_feet and ground.held_by == "nothing":
        yield ("ground.which_feet lists feet, but ground.held_by is \"nothing\"; allowed are \"pegs\", \"ballast\" or "
               "\"screwed anchors\". Say what holds them, or put a # before the list.")


GROUND_RULES: tuple[DesignRule, ...] = (
    DesignRule(("ground.friction", "ground.cohesion_kpa", "ground.source"), _source),
    DesignRule(("ground.cohesion_kpa", "ground.stands_on"), _cohesion),
    DesignRule(("ground.held_by", "ground.stands_on"), _pegs_in_a_floor),
    DesignRule(("ground.held_by", "ground.holds_source", *(f"ground.{key}" for key in (*PULLS, *WRITTEN))), _values),
    DesignRule(("ground.held_by", "ground.ballast_kg"), _ballast),
    DesignRule(("ground.held_by", "ground.which_feet"), _which_feet),
)
"""In the order of the questions."""
