"""The access key: when a termbase is served to others, each browser is asked for the key once.

No request and no typed text is lost. After the key, the browser gets the page that was requested. The fields
of a submitted form are carried along as hidden fields and shown again to be resubmitted. No script is needed.
"""

from datetime import datetime, timedelta
from math import ceil
from typing import Final

from flask import Blueprint, Flask, g, make_response, redirect, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response

from app.accesskey import is_key, is_token, new_token
from app.web import context
from app.web.language import gettext as _
from app.web.workspace import Settings, now, workspace
from termbase.store.workrows import stamp

__all__ = ["KEY_COOKIE", "blueprint", "init_app"]

KEY_COOKIE: Final = "wordhold_key"
OPEN: Final = frozenset({"static", "access.give", "person.speak"})
"""Endpoints that need no key: static files, the key form and the choice of language."""

KEPT: Final = "kept."
YEAR_SECONDS = 365 * 24 * 3600
TRIES, TRY_TIME = 10, timedelta(minutes=10)
MOST_NOTED = 20_000
"""Maximum number of wrong keys kept, over all addresses."""

blueprint = Blueprint("access", __name__)


def seconds_to_wait(address: str) -> int:
    """Return the seconds that a network address has to wait before it may try a key again, or 0.

    After `TRIES` wrong keys within `TRY_TIME` it has to wait; all processes count together.
    """
    at = now()
    wrong = workspace().rows.wrong_keys(address, stamp(at - TRY_TIME), TRIES)
    if len(wrong) < TRIES:
        return 0
    left = datetime.fromisoformat(wrong[-1]) + TRY_TIME - at
    return max(1, ceil(min(left, TRY_TIME).total_seconds()))


def note_wrong(address: str) -> None:
    """Record a wrong key from an address and drop those that are too old to count."""
    at = now()
    workspace().rows.add_wrong_key(address, stamp(at), stamp(at - TRY_TIME), MOST_NOTED)


def init_app(app: Flask, settings: Settings) -> None:
    """Ask every browser for the key, if one is set; call this after the guard."""

    @app.before_request
    def ask() -> Response | None:
        if not settings.key or is_token(request.cookies.get(KEY_COOKIE, ""), settings.key):
            return None
        g.locked = True  # not even an error page may show data from the record
        if request.endpoint in OPEN:
            return None
        return _asking(403, back=_wanted(), kept=_sent(), sent=request.method == "POST")


@blueprint.route("/key", methods=["GET", "POST"])
def give() -> Response:
    """Check the key, then redirect to the requested page or show the typed text again."""
    key = context.settings().key
    if not key or request.method != "POST":
        return redirect("/", 303)
    sender = request.remote_addr or ""
    back = context.local_path(request.form.get("back", "/"))
    kept = [
        (name.removeprefix(KEPT), text)
        for name, texts in request.form.lists()
        if name.startswith(KEPT)
        for text in texts
    ]
    sent = "sent" in request.form
    wait = seconds_to_wait(sender)
    if wait:
        words = _("Too many wrong keys were entered from your address. Wait and try again. Minutes left: "
            "%(minutes)s",
                  minutes=(wait + 59) // 60)  # fmt: skip
        answer = _asking(429, back=back, kept=kept, sent=sent, wrong=words)
        answer.headers["Retry-After"] = str(wait)
        return answer
    if not is_key(request.form.get("key", ""), key):
        note_wrong(sender)
        return _asking(403, back=back, kept=kept, sent=sent, wrong=_("That key is wrong."))
    if sent:
        shown = [(name, text) for name, text in kept if text.strip()]
        answer = make_response(render_template("access/again.html", to=back, kept=kept, shown=shown))
    else:
        answer = redirect(back, 303)
    answer.set_cookie(
        KEY_COOKIE,
        new_token(key),
        max_age=YEAR_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure,
    )
    return answer


def _asking(status: int, *, back: str, kept: list[tuple[str, str]], sent: bool, wrong: str = "") -> Response:
    page = render_template("access/key.html", back=back, kept=kept, sent=sent, wrong=wrong, prefix=KEPT)
    answer = make_response(page, status)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _wanted() -> str:
    """Return the requested address, to redirect to."""
    return context.local_path(request.full_path if request.query_string else request.path)


def _sent() -> list[tuple[str, str]]:
    """Return the fields of the submitted form; files are not kept."""
    if request.method != "POST":
        return []
    try:
        return [(name, text) for name, texts in request.form.lists() for text in texts]
    except HTTPException:  # larger than any form is allowed to be
        return []
