"""A heap of old poles as a club finds it in its shed: 4.4 m across, paint and numbers of somebody else; invented."""

from small_frame import small_design

from fieldapp.frame.strength import StrengthSection

SHORT_MM, LONG_MM = 982.4, 1139.7
BAR = "4006381333931"
HUBS = """\
arms, count, hub_class, mark
4, 5, 1L,
4, 4, 1R,
5, 6, ,
6, 9, ,
6, 1, , crown
"""


def old_design():
    """The frame that they belong to, as whoever adopts it answers."""
    small = small_design()
    return small.model_copy(update={
        "frame": small.frame.model_copy(update={"name": "Shed dome", "prefix": "SD"}),
        "raising": small.raising.model_copy(update={"way": "ring by ring"}),
        "strength": StrengthSection(struts="unknown", hubs="unknown")})


def old_heap_text(hubs=HUBS):
    """26 short poles by themselves, a pile of 5 short ones (one more than there are places), 33 of 35 long ones, one of
    them with a bar code; one foreign pole."""
    rows = [f"{SHORT_MM + (n % 5 - 2) * 0.7:.1f}, 2, 1, R{n}, red," for n in range(1, 27)]
    rows.append(f"{SHORT_MM:.1f}, 2, 5, , red,")
    rows += [f"{LONG_MM + (n % 3 - 1) * 0.8:.1f}, 2, 1, L{n}, blue,{BAR if n == 7 else ''}" for n in range(1, 34)]
    rows.append("1502, 2, 1, tent, ,")
    struts = "\n".join(("length_mm, plus_minus_mm, count, mark, paint, code", *rows))
    return f"{struts}\n\n{hubs}\nmeasured, value_mm, plus_minus_mm\nspan, 4400, 10\n"
