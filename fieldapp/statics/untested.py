"""Parts of which nobody knows what they bear: old ones, before some of them were broken."""

from collections.abc import Iterator

from fieldapp.base.said import Said, say
from fieldapp.frame.design import Design
from fieldapp.frame.struts import NamedStrut
from fieldapp.statics.governs import UNTESTED, Governs, Limit

UNTESTED_GUST_M_S = 5.6
"""Gust that stands for the one that a frame bears of which nobody knows it [m/s]: 0.6 of it is Beaufort 3, when nothing
more goes on; it is none that was computed.
Source: our choice, as for a frame that is held. Test: tests/plan/test_untested.py"""


def hubs_untested(design: Design) -> bool:
    """True while nobody knows what some arm bears: no break test of its section's, no value of an engineer.

    Where struts are hinged nothing is bent, and pull tests of joints say it. Arms of hubs are alike for all sections.
    """
    hub = design.hub
    tested = all(design.joints_tested if is_hinged(design) else _ends_tested(design))
    return design.strength.hubs == "unknown" and not tested and hub.design_strength_mpa is None


def _ends_tested(design: Design) -> Iterator[bool]:
    """Whether arms were broken: the hub's, or of each section those that are its struts' own ends."""
    own = design.hub.held_by.member.arm_of == "strut"
    for of in design.used_sections:
        yield bool(of.test_loads_n if own and isinstance(of, NamedStrut) else design.hub.test_loads_n)


def is_hinged(design: Design) -> bool:
    """True where no moment passes between strut and hub."""
    hub = design.hub
    return hub.held_by.member.springs and not (hub.stiffness_out_nm_rad or hub.stiffness_in_nm_rad)


def struts_untested(design: Design) -> bool:
    """True while nobody knows what some strut bears: every section that is used wants tests of its own."""
    tested = (of.strut_loads_n if isinstance(of, NamedStrut) else design.strength.strut_loads_n
              for of in design.used_sections)
    return design.strength.struts == "unknown" and not all(tested)


def is_untested(design: Design) -> bool:
    """True where no limit on what may break is known; numbers of the table then serve to choose an order only."""
    return hubs_untested(design) or struts_untested(design)


def untested_said(design: Design) -> Said | None:
    """What nobody has tested: "what struts and hub arms bear"; None where all is known.

    Examples
    --------
    >>> untested_said(Design()) is None
    True
    """
    if hubs_untested(design) and struts_untested(design):
        return say("nobody has tested what struts and hub arms bear")
    if hubs_untested(design):
        return say("nobody has tested what hub arms bear")
    return say("nobody has tested what struts bear") if struts_untested(design) else None


def as_known(design: Design, limit: Limit) -> Limit:
    """The limit as it may be told: where nobody has tested the parts it is none, 0 and "untested".

    The number itself, of the nearest material of the table, serves to choose an order and to find which feet to hold.
    What does not stand by its shape stays what it is.
    """
    if limit.value == 0.0 or not is_untested(design):
        return limit
    return Limit(limit.kind, 0.0, limit.at, Governs(UNTESTED))
