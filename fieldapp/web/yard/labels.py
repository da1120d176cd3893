"""What stands on printed labels names no kit in its address: here it is sent to the kit whose part it is."""

import re
from urllib.parse import quote, urlencode

from flask import Blueprint, redirect, render_template, request
from werkzeug.wrappers import Response

from fieldapp.kit.ids import parse_part_id
from fieldapp.web.common.i18n import _
from fieldapp.web.yard.kits import YardKit, yard

bp = Blueprint("labels", __name__)

_RING = re.compile(r"/ring/([0-9]{1,3})/?$", re.IGNORECASE)


@bp.get("/P/<text>")
@bp.get("/p/<text>", endpoint="small")
def scanned(text: str) -> Response | tuple[str, int]:
    """The part's page in its kit; capitals tell there, too, that a label was scanned."""
    return _sent(text, f"{request.path[1]}/{quote(text, safe='')}")


@bp.get("/ring/<int:number>")
@bp.get("/RING/<int:number>", endpoint="ring_large")
def ring(number: int) -> Response | tuple[str, int]:
    """A bundle's label names a ring of a frame, and no kit."""
    return _asked(yard().kits, f"ring/{number}", _("Ring {n}: of which kit?").format(n=number))


@bp.get("/find")
def find() -> Response | tuple[str, int]:
    """An ID or a code that was typed."""
    text = request.args.get("q", "").strip()
    if not text:
        return redirect(f"{request.script_root}/", 303)
    if found := _RING.search(text):
        return ring(int(found[1]))
    return _sent(text, f"find?{urlencode({'q': text})}")


def _sent(text: str, path: str) -> Response | tuple[str, int]:
    """To the kit that has such a part; which one is asked where several have, and said where none has."""
    found = yard().meant_by(text)
    if found:
        return _asked(found, path, _("Parts of several kits are called so. Of which kit is it?"))
    answers = [parse_part_id(text, kit.book.site.kit) for kit in yard().kits]
    own = [kit for kit, answer in zip(yard().kits, answers, strict=True) if answer.nearest and not answer.other_kit]
    if own:
        return _asked(tuple(own), path, _("No part is called exactly so. Of which kit is it?"))
    foreign = next((answer.other_kit for answer in answers if answer.other_kit), "")
    title = _("Of kit {other}, which is not here").format(other=foreign) if foreign else _("No such part here")
    return render_template("yard/message.html", title=title, lines=[_(
        "Put the part aside, or look at the label again. Here are: {kits}.").format(
            kits=", ".join(f"{kit.title} ({kit.prefix})" for kit in yard().kits))]), 404


def _asked(found: tuple[YardKit, ...], path: str, question: str) -> Response | tuple[str, int]:
    if len(found) == 1:
        return redirect(f"{request.script_root}/{found[0].name}/{path}", 303)
    return render_template("yard/choose.html", title=question, kits=found, path=path), 200
