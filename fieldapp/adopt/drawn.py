"""A design to answer, of a frame that was identified: its shape and size filled in, its strength unknown."""

from fieldapp.base.csv_text import csv_text
from fieldapp.base.units import m_from_mm
from fieldapp.frame.design import Design, FrameSection
from fieldapp.frame.given.section import DrawingSection
from fieldapp.frame.strength import StrengthSection
from fieldapp.frame.template import STARTER, design_text
from fieldapp.identify.rank import Match
from fieldapp.identify.told import frame_words

LINES_FILE = "frame.csv"
"""What the shape is called where [frame] has no formula for it."""
UNANSWERED = "# NOT ANSWERED YET"
"""A line that whoever has answered the questions takes out."""
HEAD = f"""\
{UNANSWERED}
# A frame that was found from measured parts: {{name}}.
# Size and take-up (hub.reach_mm) are those that fit the lengths best. Answer what the parts are made of ([strut],
# [hub]) from the parts themselves: what stands there now is an example. Then take the first line out and run the same
# command again.
"""


def drawn_files(match: Match) -> dict[str, str]:
    """Texts by name: `design.toml`, and the lines of a frame without a formula."""
    design = identified_design(match)
    text = HEAD.format(name=frame_words(match.known)) + design_text(design)
    if match.known.by_formula:
        return {"design.toml": text}
    nodes_mm = match.fit.radius_mm * (match.known.nodes - [0.0, 0.0, match.known.nodes[:, 2].min()])
    points = csv_text(("point", "x", "y", "z"), ((f"p{n}", *(f"{mm:.3f}" for mm in node))
                                                 for n, node in enumerate(nodes_mm.tolist(), start=1)))
    lines = csv_text(("from", "to"), ((f"p{a + 1}", f"p{b + 1}") for a, b in match.known.struts.tolist()))
    return {"design.toml": text, LINES_FILE: f"{points}\n{lines}"}


def identified_design(match: Match) -> Design:
    """The design of an identified frame, with what is to be answered as `raisebook new` has it."""
    known, fit = match.known, match.fit
    if known.by_formula:
        frame = FrameSection.model_validate({
            "frequency": known.frequency, "subdivision": known.division, "cut": known.cut,
            "level_base": bool(known.level), "diameter_m": round(2 * m_from_mm(fit.radius_mm), 4)})
    else:
        frame = FrameSection(file=LINES_FILE)
    longest_mm = float(fit.lengths_mm.max())
    stock_mm = max(STARTER.strut.stock_mm, 100.0 * (longest_mm // 100.0 + 1.0))
    return STARTER.model_copy(update={
        "frame": frame, "drawing": DrawingSection() if known.by_formula else DrawingSection(unit="mm", up="z"),
        "hub": STARTER.hub.model_copy(update={"reach_mm": round(fit.take_up_mm, 1)}),
        "strut": STARTER.strut.model_copy(update={"stock_mm": stock_mm}),
        "strength": StrengthSection(struts="unknown", hubs="unknown")})
