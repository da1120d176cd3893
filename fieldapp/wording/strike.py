"""The strike in words: what to hold, what comes out, what is still out, what lies in a bundle."""


from fieldapp.base.numbers import decimal
from fieldapp.base.said import listed
from fieldapp.base.words import _
from fieldapp.reports.standing.strike import NextOut
from fieldapp.wording.standing import headline, one_hold


def out_words(out: NextOut) -> tuple[str, ...]:
    """Hold first, then take out."""
    lines = []
    if not out.safe:
        lines.append(_("Do not take {places} out yet.").format(places=listed(out.places, most=8)))
        return (*lines, headline(out.after))
    if out.carry_first:
        lines.append(_("First carry the piece at {hubs}, one person at each.").format(
            hubs=listed(out.carry_first, most=40)))
    if out.hold_first:
        lines.append(_("First hold {hubs}.").format(hubs=listed([hold.hub for hold in out.hold_first], most=6)))
        lines += [one_hold(hold) for hold in out.hold_first]
    lines.append(_("Take out, in this order: {places}.").format(places=", ".join(out.places)))
    if out.hub is not None and len(out.places) > 1:
        lines.append(_("Keep {hub} in hand while its struts come off.").format(hub=out.hub))
    lines += [_("{strut} then hangs on {hub} alone: take it out with them.").format(strut=end.strut, hub=end.hub)
              for end in out.loose]
    if out.lower_mm > 0.0:
        lines.append(_("Then lower the piece by {height} m, all at once.").format(
            height=decimal(out.lower_mm / 1000, 2)))
    return tuple(lines)
