"""The context of a request: the snapshot it reads, the act it does, the current person and the language.

A request reads through one snapshot, opened when first needed and closed at its end. An act is a separate
transaction; the snapshot is released after it, so that the page shown afterwards is current.
"""

import re
from collections.abc import Callable, Hashable, Iterator
from contextlib import ExitStack, contextmanager
from typing import TypeVar
from urllib.parse import quote, unquote, urlsplit

from flask import Blueprint, Flask, current_app, g, redirect, request
from werkzeug.wrappers import Response

from app.web.addresses import whole_number
from app.web.language import choose_language
from app.web.language import gettext as _
from app.web.workspace import Settings
from termbase.acts import history
from termbase.codes.deeds import undone
from termbase.errors import NotFound
from termbase.fields.notes import CodedText
from termbase.record.people import Person, Termbase
from termbase.store.caching import remembered, state_of_record
from termbase.store.engine import Store
from termbase.store.reading import Reader
from termbase.store.rows import ActRecord
from termbase.store.writing import Act

__all__ = [
    "DONE_COOKIE",
    "DRAFT_FIELD",
    "PERSON_COOKIE",
    "act",
    "blueprint",
    "cached",
    "current_person",
    "done",
    "init_app",
    "last_done",
    "local_path",
    "people",
    "reader",
    "settings",
    "store",
    "termbase",
]


T = TypeVar("T")
PERSON_COOKIE = "wordhold_person"
DONE_COOKIE = "wordhold_done"
DONE_SECONDS = 120
SAVED_COOKIE = "wordhold_saved"
MOST_SAVED = 8
DRAFT_FIELD = "_draft"
_DRAFT = re.compile(r"[0-9-]{5,40}", re.ASCII)
IN_PLACE = "Wordhold-Part"  # sent by the script that edits in place: it may not show the whole page
YEAR_SECONDS = 365 * 24 * 3600
LONGEST_NAME = 80
RECENT_ACTS = 50  # an act older than this many others has no undo bar; the history still has it


blueprint = Blueprint("person", __name__)


def settings() -> Settings:
    """Return the settings of this web interface."""
    result: Settings = current_app.extensions["wordhold"]
    return result


def store() -> Store:
    """Return the store of the termbase."""
    return settings().store


def reader() -> Reader:
    """Return the snapshot that this request reads; it is opened on the first call."""
    if "reader" not in g:
        stack = ExitStack()
        g.reader = stack.enter_context(store().read())
        g.reader_stack = stack
    result: Reader = g.reader
    return result


def termbase() -> Termbase:
    """Return the termbase's own record: title, languages, notice."""
    return cached("termbase", Reader.termbase)


def cached(question: Hashable, answer: Callable[[Reader], T]) -> T:
    """Return what `answer` reads from the record, cached between requests until the next act.

    Args:
        question: the cache key, with everything that the answer depends on besides the record.
        answer: reads it; the result is shared, so it must be immutable.
    """
    snapshot = reader()
    if "as_of" not in g:
        g.as_of = state_of_record(snapshot)
    return remembered(snapshot, question, answer, as_of=g.as_of)


@contextmanager
def act(what: CodedText, *, undoes: int | None = None) -> Iterator[Act]:
    """Open an act by the current person; `what` goes into the history: `Deed.NOTES_CHANGED(id=entry_id)`."""
    with store().act(current_person(), what, undoes=undoes) as open_act:
        yield open_act
    _release_snapshot()


def done(this: Act, to: str) -> Response:
    """Redirect to a page after an act; the next page shown says what was done, with an Undo button.

    The number of the act goes in a short-lived cookie rather than in the address, so that a reload, a
    bookmark or a shared link does not show it again. It is not secret: the history shows it.
    """
    response = redirect(to, 303)
    if this.id is not None:
        # the script that edits in place deletes the cookie itself, so it must be readable there
        response.set_cookie(
            DONE_COOKIE, str(this.id), max_age=DONE_SECONDS, samesite="Lax", secure=request.is_secure
        )
    return response


def last_done() -> ActRecord | None:
    """Return the act that this browser has just done, if this is the first page shown since."""
    number = whole_number(request.cookies.get(DONE_COOKIE, ""))
    if number is None:
        return None
    return next((a for a in reader().last_acts(RECENT_ACTS) if a.id == number), None)


def people() -> tuple[Person, ...]:
    """Return the people of the termbase, in order of creation."""
    return cached("people", _all_people)


def _all_people(snapshot: Reader) -> tuple[Person, ...]:
    return snapshot.all(Person)


def current_person() -> str:
    """Return the current person's name: as chosen in this browser, else the first in the termbase."""
    chosen = unquote(request.cookies.get(PERSON_COOKIE, "")).replace("\0", "").strip()
    if chosen:
        return chosen[:LONGEST_NAME]
    if "first_person" not in g:
        cached = people()
        g.first_person = cached[0].name if cached else settings().default_person
    first: str = g.first_person
    return first


def choose_person(response: Response, name: str) -> None:
    """Remember the current person in this browser; an empty name clears it."""
    name = name.replace("\0", "")  # PostgreSQL would refuse every act in a name with NUL
    cleaned = " ".join(name.split())[:LONGEST_NAME]
    if not cleaned:
        response.delete_cookie(PERSON_COOKIE)
        return
    response.set_cookie(
        PERSON_COOKIE,
        quote(cleaned),
        max_age=YEAR_SECONDS,
        httponly=True,
        samesite="Lax",
        secure=request.is_secure,
    )


def local_path(address: str, otherwise: str = "/") -> str:
    """Return the address if it is a path on this site, else `otherwise`; never redirect to another site."""
    parts = urlsplit(address)
    plain = address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
    return address if plain and not parts.scheme and not parts.netloc else otherwise


def init_app(app: Flask) -> None:
    """Close the snapshot after every request, show every undo bar once, and confirm saved drafts."""

    @app.teardown_appcontext
    def close(_: BaseException | None) -> None:
        _release_snapshot()

    @app.after_request
    def confirm_draft(response: Response) -> Response:
        """Tell the browser which of its drafts is now saved: an accepted form redirects."""
        if request.method == "POST" and response.status_code in (302, 303):
            saved = [token for token in request.cookies.get(SAVED_COOKIE, "").split(".") if token][
                -MOST_SAVED:
            ]
            token = request.form.get(DRAFT_FIELD, "")
            if _DRAFT.fullmatch(token):
                # the drafts script reads it
                response.set_cookie(
                    SAVED_COOKIE,
                    ".".join((*saved, token)),
                    max_age=DONE_SECONDS,
                    samesite="Lax",
                    secure=request.is_secure,
                )
        return response

    @app.after_request
    def forget_done(response: Response) -> Response:
        if g.get("done_shown") and IN_PLACE not in request.headers:
            response.delete_cookie(DONE_COOKIE)
        return response


def _release_snapshot() -> None:
    stack: ExitStack | None = g.pop("reader_stack", None)
    for name in ("reader", "as_of", "first_person"):
        g.pop(name, None)
    if stack is not None:
        stack.close()


@blueprint.post("/who")
def choose() -> Response:
    """Remember the current person in this browser."""
    response = redirect(local_path(request.form.get("back", "/")), 303)
    choose_person(response, request.form.get("name", ""))
    return response


@blueprint.post("/language")
def speak() -> Response:
    """Remember the interface language in this browser."""
    response = redirect(local_path(request.form.get("back", "/")), 303)
    choose_language(response, request.form.get("language", ""))
    return response


@blueprint.post("/undo/<int:act_id>")
def undo(act_id: int) -> Response:
    """Undo an act; the page returned to offers to redo it."""
    changes = reader().changes_of(act_id)
    if not changes:
        raise NotFound(_("There is no such change to undo."), where=str(act_id), fix=_("Check the history."))
    with act(undone(changes[0].act.what, act_id), undoes=act_id) as this:
        history.undo(this, act_id)
    return done(this, local_path(request.form.get("back", "/")))
