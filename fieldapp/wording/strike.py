"""The strike in words: what to hold, what comes out, what is still out, what lies in a bundle."""

from collections import Counter

from fieldapp.base.words import _, figures, listed, ngettext
from fieldapp.log.rules.terms import short_name
from fieldapp.reports.standing.strike import Bundle, NextOut, Strike
from fieldapp.wording.standing import headline, one_hold


def strike_words(found: Strike) -> tuple[str, ...]:
    """What to do now, then what is still out."""
    if not found.now.hubs and not found.now.struts:
        return (_("The frame is down."), *still_out_words(found))
    lines = [line for out in found.next[:1] for line in out_words(out)]
    return (*lines, *still_out_words(found))


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
        lines.append(_("First hold {hubs}.").format(hubs=listed([hold.hub for hold in out.hold_first])))
        lines += [one_hold(hold) for hold in out.hold_first]
    lines.append(_("Take out, in this order: {places}.").format(places=", ".join(out.places)))
    if out.hub is not None and len(out.places) > 1:
        lines.append(_("Keep {hub} in hand while its struts come off.").format(hub=out.hub))
    lines += [_("{strut} then hangs on {hub} alone: take it out with them.").format(strut=end.strut, hub=end.hub)
              for end in out.loose]
    if out.lower_mm > 0.0:
        lines.append(_("Then lower the piece by {height} m, all at once.").format(
            height=figures(f"{out.lower_mm / 1000:.2f}")))
    return tuple(lines)


def still_out_words(found: Strike) -> tuple[str, ...]:
    """What stands, lies about or is missing, in this order; one sentence if all is in."""
    progress = found.progress
    lines = []
    if progress.standing:
        lines.append(ngettext("{n} part still stands.", "{n} parts still stand.", len(progress.standing)).format(
            n=len(progress.standing)))
    if found.lying:
        lines.append(ngettext("{n} part is in no bundle yet: {parts}.", "{n} parts are in no bundle yet: {parts}.",
                              len(found.lying)).format(n=len(found.lying), parts=_names(found.lying)))
    if progress.missing:
        lines.append(ngettext("{n} part is missing: {parts}.", "{n} parts are missing: {parts}.",
                              len(progress.missing)).format(n=len(progress.missing), parts=_names(progress.missing)))
    return tuple(lines) or (_("Every part is in a bundle."),)


def bundle_words(bundle: Bundle) -> tuple[str, ...]:
    """What lies in it, and what asks for care."""
    counts = Counter((one.kind, one.part_class) for one in bundle.parts)
    inside = [_("{n} × strut {name}").format(n=n, name=name) if kind == "strut"
              else _("{n} × hub {name}").format(n=n, name=name) for (kind, name), n in sorted(counts.items())]
    lines = [_("{bundle}: {inside}.").format(bundle=bundle.name, inside=listed(inside, most=12))]
    if bundle.to_dry:
        lines.append(_("Dry before storing: {parts}.").format(parts=_names(bundle.to_dry)))
    if bundle.to_look_at:
        lines.append(_("Look at: {parts}.").format(parts=_names(bundle.to_look_at)))
    return tuple(lines)


def _names(parts: tuple[str, ...]) -> str:
    return listed([short_name(part) for part in parts], most=12)
