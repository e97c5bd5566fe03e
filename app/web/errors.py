"""Turns every error into a page that says what is wrong, where, and how to fix it.

A rejected form is shown again by its own view (`app.web.forms`). If a view does not do so, the page made
here lists what was typed, so that no typed text is ever lost.
"""

import errno

from flask import Flask, current_app, g, render_template, request
from werkzeug.exceptions import HTTPException, InternalServerError, RequestEntityTooLarge
from werkzeug.wrappers import Response

from app.web.context import DRAFT_FIELD, settings
from app.web.guard import Refused
from app.web.language import gettext as _
from termbase.errors import (
    BadInput,
    Conflict,
    Damaged,
    InUse,
    NotFound,
    ReadOnly,
    StorageFull,
    Unavailable,
    WordholdError,
)

__all__ = ["STATUS", "init_app", "status_of"]

STATUS: dict[type[WordholdError], int] = {
    BadInput: 400,
    NotFound: 404,
    InUse: 409,
    Conflict: 409,
    Refused: 403,
    ReadOnly: 403,
    StorageFull: 507,
    Unavailable: 503,
    Damaged: 503,
    WordholdError: 400,
}
"""HTTP status of each error class; a class that is not listed has the status of its nearest base."""

WITHOUT_RECORD = frozenset({403, 500, 503})
"""Statuses whose pages do not read the record: it may be what failed, or access may be denied."""

FULL = frozenset({errno.ENOSPC, errno.EDQUOT})
"""The error numbers for a full disk or a used-up quota."""

UNTYPED = frozenset({DRAFT_FIELD, "version", "back"})
"""Form fields that nobody types into."""

MEGABYTE = 1024 * 1024


def status_of(error: WordholdError) -> int:
    """Return the HTTP status for an error of the record."""
    return next(STATUS[base] for base in type(error).__mro__ if base in STATUS)


def init_app(app: Flask) -> None:
    """Register the handlers that turn errors of the record and of HTTP into pages."""
    app.register_error_handler(WordholdError, _record_error)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(OSError, _system_error)


def _record_error(error: WordholdError) -> tuple[str, int]:
    status = status_of(error)
    return _page(error, status), status


def _system_error(error: OSError) -> tuple[str, int]:
    if error.errno not in FULL:
        raise error
    return _record_error(
        StorageFull(
            _("The disk is full."),
            where=request.path,
            fix=_("Free some disk space and save again. Nothing was changed."),
        )
    )


def _http_error(error: HTTPException) -> Response | tuple[str, int, dict[str, str]]:
    if error.code is None or error.code < 400:
        return error.get_response()  # a redirect by the router
    if isinstance(error, InternalServerError):
        damage = settings().store.damage_behind()
        if damage is not None:
            return _page(damage, status_of(damage)), status_of(damage), {}
    kept = {name: value for name, value in error.get_headers() if name == "Allow"}
    return _page(_in_words(error), error.code), error.code, kept


def _in_words(error: HTTPException) -> WordholdError:
    where = request.path
    if isinstance(error, RequestEntityTooLarge):
        limit = (current_app.config["MAX_CONTENT_LENGTH"] or 0) // MEGABYTE
        return BadInput(
            _("The upload is too large."),
            where=where,
            fix=_(
                "At most %(limit)s MB can be sent at once. Send a smaller file, or fewer files at a time.",
                limit=limit,
            ),
        )
    if isinstance(error, InternalServerError):
        return WordholdError(
            _("Something went wrong in the program. Nothing has been changed."),
            where=where,
            fix=_("Try again. If it still fails, see the program's log."),
        )
    sentences = {
        400: (_("The request could not be read."), _("Go back and submit it again.")),
        404: (_("There is no such page."), _("Use one of the sections above to find it.")),
        405: (_("This page cannot be requested that way."), _("Open it through a link to it.")),
    }
    what, fix = sentences.get(error.code or 0, (error.name, ""))
    return WordholdError(what, where=where, fix=fix)


def _page(error: WordholdError, status: int) -> str:
    bare = status in WITHOUT_RECORD or g.get("locked", False)
    layout = "bare.html" if bare else "base.html"
    return render_template("error.html", layout=layout, error=error, status=status, typed=_typed(status))


def _typed(status: int) -> list[tuple[str, str]]:
    """Return what was typed into the form, by field; nothing if the form was too large to read."""
    if request.method != "POST" or status == 413:
        return []
    return [
        (name, text)
        for name, texts in request.form.lists()
        if name not in UNTYPED
        for text in texts
        if text.strip()
    ]
