"""What people see when something is not as it should be: same look, plain words, what to do next."""

from http import HTTPStatus

from flask import Flask, Response, current_app, jsonify, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException

from fieldapp.base.errors import RaisebookError, StoreError
from fieldapp.web.common.context import site
from fieldapp.web.common.forms import FormError
from fieldapp.web.common.i18n import _
from fieldapp.web.common.lookup import UnknownPartError
from fieldapp.web.common.page import kits_with
from fieldapp.web.common.trouble import Terminal, not_written_words, written_by_this_request
from fieldapp.web.photos.reading import too_large_words

TERMINAL = "raisebook-terminal"


def install(app: Flask) -> None:
    """Answer every error of `app` with a page, or with JSON where JSON was asked for."""
    app.register_error_handler(UnknownPartError, _unknown_part)
    app.register_error_handler(FormError, _bad_form)
    app.register_error_handler(StoreError, _no_log)
    app.register_error_handler(RaisebookError, _no_answer)
    app.register_error_handler(HTTPException, _http)
    app.extensions[TERMINAL] = Terminal()

    @app.after_request
    def _over(response: Response) -> Response:
        if site().book.halt is None:
            _terminal().relieve(site().clock())
        return response


def _unknown_part(error: UnknownPartError) -> ResponseReturnValue:
    nearest = [part.id for part in error.answer.nearest]
    other = error.answer.other_kit
    if error.answer.several:
        return _answer(300, _("Which one?"), [str(error)], nearest=nearest, ways=True)
    title = _("Of kit {other}, not of this one").format(other=other) if other else _("No such part here")
    return _answer(404, title, [str(error)], nearest=nearest, ways=True, elsewhere=kits_with(other, error.text))


def _bad_form(error: FormError) -> ResponseReturnValue:
    return _answer(400, _("That was not understood"), [str(error)[:300]])


def _no_log(error: StoreError) -> ResponseReturnValue:
    title, *lines = log_trouble(error)
    return _answer(503, title, lines)


def log_trouble(error: StoreError) -> tuple[str, ...]:
    """Title and lines for the phone, without paths; the laptop's terminal is told with them."""
    _terminal().tell(error, site().clock(), halted=site().book.halt is not None)
    return _("The log cannot be written"), *not_written_words(error)


def _terminal() -> Terminal:
    found: Terminal = current_app.extensions[TERMINAL]
    return found


def _no_answer(error: RaisebookError) -> ResponseReturnValue:
    return _answer(422, _("That did not work"), [str(error)[:500]])


def _http(error: HTTPException) -> ResponseReturnValue:
    code = error.code or 500
    if code < 400 or error.response is not None:
        return error
    title, *lines = _http_words(code, error.description or "")
    return _answer(code, title, lines, ways=code in (404, 413))


def _http_words(code: int, description: str) -> tuple[str, ...]:
    """Title and lines for the errors of HTTP itself."""
    if code == 413:
        return too_large_words()
    if code == 404 and len(description) < 40:
        return _("No such page"), _("There is no {what} in this frame.").format(what=description)
    known = {
        403: (_("Not taken"), _("This was sent by a page of another site. Open the page here and press there.")),
        404: (_("No such page"), _("Look at the label again, take a photo of it, or type its ID.")),
        405: (_("Not that way"), _("Open the page anew and use its buttons.")),
        421: (_("Wrong address"), _("This name does not belong to the site laptop. Use the address on the poster.")),
        500: (_("The laptop has tripped over something"), _tripped()),
    }
    return known.get(code, (HTTPStatus(code).phrase if code in set(HTTPStatus) else _("That did not work"),
                            _("Go back, reload the page and try again.")))


def _tripped() -> str:
    if written_by_this_request():
        return _("What you pressed is written down, but its page cannot be shown. Go back and reload.")
    return _("Nothing of yours was kept by this press. Go back, reload and try again; if it stays, tell the laptop's "
             "keeper.")


def _answer(code: int, title: str, lines: list[str], *, nearest: list[str] | None = None,
            ways: bool = False, elsewhere: tuple[tuple[str, str], ...] = ()) -> ResponseReturnValue:
    if request.path.startswith("/api/"):
        return jsonify({"error": title, "message": " ".join(lines), "nearest": nearest or []}), code
    return render_template("common/error.html", title=title, lines=lines, nearest=nearest, ways=ways,
                           elsewhere=elsewhere, here=""), code
