"""Practice: pages that look like the real ones, say that they are not, and take no real press; and the other way round.

A phone may hold a page, or presses that wait, of the one while the laptop already serves the other. So every form says
which it is of: practice takes no real entry, since it throws all away; the real site takes none of practice.
"""

from flask import Flask, current_app, jsonify, render_template, request
from flask.typing import ResponseReturnValue

from fieldapp.web.common.i18n import _

CONFIG = "RAISEBOOK_PRACTICE"
FIELD = "practice"
FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")
WAITS, OVER = 503, 409
"""A real press waits in the phone until the real site is served again; one of practice is over."""


def is_practice() -> bool:
    """True if nothing that is written down counts."""
    return bool(current_app.config.get(CONFIG))


def install(app: Flask) -> None:
    """Tell templates, and look at everything that writes something down; to be called after the rights."""

    @app.before_request
    def _check() -> ResponseReturnValue | None:
        if request.method != "POST":
            return None
        if request.path == "/api/entries":
            return _program()
        if request.mimetype not in FORMS or "key" not in request.form:
            return None
        of_practice = request.form.get(FIELD) == "yes"
        return None if of_practice == is_practice() else (_not_here(), WAITS if is_practice() else OVER)

    @app.context_processor
    def _now() -> dict[str, object]:
        return {"practice": is_practice()}


def _program() -> ResponseReturnValue | None:
    """Programs say `"practice": true` beside their entries."""
    if not is_practice():
        return None
    try:
        said = request.get_json(silent=True)
    except RecursionError:              # lists in each other beyond all reason
        said = None
    if isinstance(said, dict) and said.get(FIELD) is True:
        return None
    return jsonify({"error": _("The laptop practises now"), "code": "practice"}), WAITS


def _not_here() -> str:
    if is_practice():
        title = _("The laptop practises now")
        lines = [_("This press is not of practice. It waits in this phone until the kit is served for real again."),
                 _("To practise, load the page again.")]
    else:
        title, lines = _("That was practice"), [_("Nothing of it is written down. Load the page again.")]
    return render_template("common/error.html", here="", title=title, lines=lines)
