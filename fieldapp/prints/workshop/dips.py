"""What a flat hub asks of its maker: where the dip comes from, how to pack for it, how to measure it."""

import math
from collections.abc import Iterator, Sequence

from fieldapp.base.words import _
from fieldapp.frame.design import Design
from fieldapp.prints.workshop.sizes import (
    DROP_OVER_MM,
    HubSizes,
    bending_strain,
    bore_needed_mm,
    hub_sizes,
    run_together,
)
from fieldapp.prints.workshop.turns import Blank
from fieldapp.statics.make import hub_material


def dip_points(blanks: Sequence[Blank], design: Design) -> Iterator[str]:
    """Where the dip comes from, in sentences."""
    workshop = design.hub.held_by.workshop
    yield from (_(text).format(reach=f"{design.hub.reach_mm:g}") for text in workshop.dips)
    if not workshop.sheet:
        return
    sizes = hub_sizes(design)
    steep = max(blanks, key=lambda blank: max(blank.dips_deg))
    yield ("The blank is flat, but every strut dips inward from the hub's face by the angle in the tables. A flat arm "
           "has no dip of its own: give it by packing or by a slot cut askew, not by force.")
    yield from _packing(steep, sizes, design)
    yield ("Columns \"at end\" and \"at tip\": how far the strut's axis lies outside the middle of the sheet, at the "
           "strut's end and at the arm's tip. With a minus it lies inside.")
    if not run_together(steep, sizes):
        yield from _bending(steep, sizes, design)
    yield (f"The struts' axes meet {sizes.meeting_mm(steep):.0f} mm outside the middle of the sheet (class "
           f"{steep.hub_class.name}). All lengths are counted from there, so make all hubs the same way.")


def _packing(blank: Blank, sizes: HubSizes, design: Design) -> Iterator[str]:
    """Wedges in a tube, or a slot in a pole."""
    strut = design.strut
    if strut.wall_mm is None:
        cheek = (strut.outer_mm - sizes.thickness_mm) / 2
        yield (f"Solid poles: saw a slot {sizes.thickness_mm:g} mm wide and {sizes.insertion_mm:.0f} mm deep into the "
               "end, not along the pole but askew by the dip: over its depth it runs off by the length in column "
               "\"wedge\".")
        yield (f"That leaves {cheek:.1f} mm of wood on either side of the slot"
               + (", which is too little: take thicker poles or thinner hubs." if cheek < 2.0 else
                  ": bind or sleeve the end against splitting, and break some such joints before you trust them."))
        return
    bore, need = strut.outer_mm - 2 * strut.wall_mm, bore_needed_mm(blank, sizes, design.hub.held_by.fit)
    fits = ("fits with its packing" if need <= bore else
            "does not fit with packing: take narrower or thinner arms, or wider tubes")
    yield ("Tubes: glue a wedge on each face of the inserted arm. Outer face: thick at the strut's end, thin at the "
           "arm's tip. Inner face: the other way round. Each tapers by the length in column \"wedge\".")
    yield f"An arm needs {need:.1f} mm of bore, the tubes have {bore:.1f} mm: it {fits}."


def _bending(blank: Blank, sizes: HubSizes, design: Design) -> Iterator[str]:
    """What bending the arm instead would do to it."""
    material = hub_material(design)
    strain = bending_strain(blank, sizes, design.hub.ply_mm)
    breaks = material.bending_mpa / material.youngs_modulus_mpa
    verdict = ("more than it bears" if strain > breaks else
               f"{strain / breaks:.0%} of what it bears, and missing ever after when somebody leans on it")
    yield (f"Do not bend arms into place: over their free length the face of a layer would stretch by {strain:.1%}; "
           f"{material.name} breaks at about {breaks:.1%} (bending strength over stiffness), so that is {verdict}.")


def measure_points(design: Design) -> Iterator[str]:
    """How to measure what was made."""
    flat = design.hub.held_by.workshop.sheet
    yield ("Directions: lay the printed template on the hub, centre on centre, up on up."
           + (" Or measure between the middles of neighbouring strut ends: column \"ends apart\"." if flat else ""))
    if flat:
        yield _straight_edge(design)
    yield (f"{'Or set' if flat else 'Dips: set'} a bevel gauge to the axial angle: that is the angle between strut and "
           "the hub's own axis, on the inner side.")
    yield "Check the first hub of every class with all its struts, then every tenth, then the last."


def _straight_edge(design: Design) -> str:
    """How a dip is measured on a flat hub."""
    slack = DROP_OVER_MM * math.tan(math.radians(design.hub.angle_error_deg))
    return (f"Dips: push a strut home. Stand a straight edge on two equal blocks on the hub's outer face, so that it "
            f"runs above the strut. Measure down to the strut at two places {DROP_OVER_MM:.0f} mm apart. The second is "
            f"larger by the length in column \"drop\"; {slack:.1f} mm more or less is what the design allows "
            f"({design.hub.angle_error_deg:g}°).")
