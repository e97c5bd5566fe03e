"""The page desk as it is looked at; what is done there is in `acting`."""

from flask import Response, make_response, render_template, request
from werkzeug.wrappers import Response as BaseResponse

from app.web import context
from app.web.blueprints import pages as blueprint
from app.web.forms import Form
from app.web.language import gettext as _
from app.web.pages import correcting
from app.web.pages.viewing import REASONS, SHOWN, Place, open_desk, scan_of
from termbase.errors import WordholdError

__all__ = ["IN_PLACE", "desk", "place_asked", "show"]

IN_PLACE = "Wordhold-Part"
"""Header of a request by the desk's script, which wants the parts that change and not the page."""

FOREVER = "private, max-age=31536000, immutable"


@blueprint.get("/<page_id>")
def desk(page_id: str) -> Response:
    """The desk at a line of a page; with `correct` the form to correct what was read of it."""
    place = place_asked(page_id)
    correct = None
    if request.args.get("correct"):
        line = open_desk(context.reader(), place).line
        correct = correcting.form_of(line) if line else None
    return show(place, correct=correct)


@blueprint.get("/<page_id>/scan")
def scan(page_id: str) -> BaseResponse:
    """The scan of a page; its address carries the picture's id, so that it may be kept."""
    picture = scan_of(context.reader(), page_id)
    response = make_response(picture.data)
    response.headers["Content-Type"] = picture.media_type
    response.set_etag(picture.id)
    response.headers["Cache-Control"] = FOREVER if request.args.get("v") == picture.id else "no-cache"
    return response.make_conditional(request)


def place_asked(page_id: str) -> Place:
    """The place that the address names; what it names wrongly is passed over."""
    at = request.values.get("at", "")
    show_only = request.values.get("show", "")
    return Place(
        page_id,
        int(at) if at.isascii() and at.isdigit() and len(at) < 9 else None,
        show_only if show_only in SHOWN else "",
        request.values.get("holding", "").strip()[:80],
    )


def show(
    place: Place, *, correct: Form | None = None, error: WordholdError | None = None, status: int = 200
) -> Response:
    """The desk at a place: the whole page, or to the desk's script the parts that change."""
    found = open_desk(context.reader(), place)
    part = IN_PLACE in request.headers
    html = render_template(
        "pages/parts.html" if part else "pages/desk.html",
        desk=found,
        correct=correct,
        error=error,
        usual=REASONS,
        shown=SHOWN,
        choices=correcting.CHOICES,
        printed_kinds=[
            ("", _("detect automatically")),
            *((why, _(said)) for why, said in correcting.WHYS.items()),
        ],
    )
    response = make_response(html, status)
    response.headers["Vary"] = IN_PLACE
    if part:
        response.headers["Wordhold-Place"] = found.place.url()
    return response
