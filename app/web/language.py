"""The interface in the reader's language: English, Welsh or Irish.

Every interface text goes through `gettext` (`_()` in templates), using the voices of `app.catalogues`.
A reader gets the language chosen in the header, otherwise the one the browser asks for. Work outside a
request uses the language set by `speaking`, otherwise the one that the web interface was created with.
Verdicts, dates, techniques and clauses are worded in the same language.
"""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Final

from flask import Flask, current_app, g, has_app_context, has_request_context, request
from jinja2 import pass_context
from jinja2.runtime import Context
from markupsafe import escape
from werkzeug.wrappers import Response

from app.catalogues import LANGUAGES, voice_of
from app.web.workspace import Settings
from termbase.dates.wording import DateWords
from termbase.judging.wording import Wording
from termbase.messages import Message, translate
from termbase.rules.clauses import AnyClause
from termbase.technique.profile import Profile

__all__ = [
    "LANGUAGES",
    "LANGUAGE_COOKIE",
    "choose_language",
    "clause_words",
    "date_words",
    "gettext",
    "init_app",
    "interface_language",
    "listed",
    "ngettext",
    "profile_words",
    "speaking",
    "translated",
    "verdict_wording",
]


LANGUAGE_COOKIE: Final = "wordhold_language"
YEAR_SECONDS = 365 * 24 * 3600
_fixed_language: ContextVar[str] = ContextVar("fixed language", default="")


def interface_language() -> str:
    """Return the BCP 47 tag of the current interface language."""
    if tag := _fixed_language.get():
        return tag
    if not has_app_context():
        return "en"
    if not has_request_context():
        return _own_language()
    if "language" not in g:
        chosen = request.cookies.get(LANGUAGE_COOKIE, "")
        g.language = chosen if chosen in LANGUAGES else _asked_for() or _own_language()
    language: str = g.language
    return language


@contextmanager
def speaking(tag: str) -> Iterator[None]:
    """Use one language within a block, wherever it runs: the thread of a job has no request."""
    before = _fixed_language.set(tag)
    try:
        yield
    finally:
        _fixed_language.reset(before)


def gettext(text: str, /, **values: object) -> str:
    """Return a translated interface text; `%(name)s` in it is filled from `values`."""
    template = _translation(text)
    return template % _translated_values(values) if values else template


def ngettext(one: str, many: str, n: int, /, **values: object) -> str:
    """Return the plural form of a translated text; `%(n)s` in it is the number."""
    return _plural_translation(one, many, n) % {"n": n, **_translated_values(values)}


def translated(text: str) -> str:
    """Return a message of the record (`termbase.messages`) in the reader's language."""
    return translate(text, _VOICE)


def listed(texts: Sequence[str]) -> str:
    """Return texts joined as a list in a sentence."""
    return voice_of(interface_language()).listed(texts)


def choose_language(response: Response, tag: str) -> None:
    """Remember the interface language in this browser; an unknown tag clears it."""
    if tag not in LANGUAGES:
        response.delete_cookie(LANGUAGE_COOKIE)
        return
    response.set_cookie(
        LANGUAGE_COOKIE, tag, max_age=YEAR_SECONDS, httponly=True, samesite="Lax", secure=request.is_secure
    )


def init_app(app: Flask) -> None:
    """Give templates `_` and `ngettext`, and translate messages of the record where they are shown."""
    app.jinja_env.finalize = _shown_value
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.install_gettext_callables(  # type: ignore[attr-defined]
        _translation, _plural_translation, newstyle=True
    )
    app.jinja_env.globals.update(gettext=_shown, ngettext=_shown_number)

    @app.after_request
    def vary(response: Response) -> Response:
        if "language" in g:
            response.vary.update(("Accept-Language", "Cookie"))
            response.headers.setdefault("Content-Language", g.language)
        return response


def _translated_values(values: Mapping[str, object]) -> dict[str, object]:
    return {name: _shown_value(value) for name, value in values.items()}


@pass_context
def _shown(context: Context, text: str, /, **values: object) -> str:
    """Translate for templates (`_()`): the values may come from the record, so they are escaped."""
    if isinstance(text, Message):
        return _escaped(context, translate(text, _VOICE))
    template = _escaped(context, _translation(text))
    return template % _translated_values(values) if values else template


@pass_context
def _shown_number(context: Context, one: str, many: str, n: int, /, **values: object) -> str:
    return _escaped(context, _plural_translation(one, many, n)) % {"num": n, **_translated_values(values)}


def _escaped(context: Context, text: str) -> str:
    return escape(text) if context.eval_ctx.autoescape else text


class _Voice:
    @property
    def language(self) -> str:
        return interface_language()

    def one(self, text: str, /) -> str:
        return _translation(text)

    def number(self, one: str, many: str, n: int, /) -> str:
        return _plural_translation(one, many, n)


_VOICE: Final = _Voice()


def _shown_value(shown: object) -> object:
    return translate(shown, _VOICE) if isinstance(shown, Message) else shown


def _translation(text: str) -> str:
    if isinstance(text, Message):
        return translate(text, _VOICE)
    return voice_of(interface_language()).speaker.one(text)


def _plural_translation(one: str, many: str, n: int) -> str:
    return voice_of(interface_language()).speaker.number(one, many, n)


def _asked_for() -> str:
    """Return the first requested language that is available, ignoring its region; or empty."""
    wanted = (tag.partition("-")[0].lower() for tag, quality in request.accept_languages if quality > 0)
    return next((tag for tag in wanted if tag in LANGUAGES), "")


def _own_language() -> str:
    settings: Settings = current_app.extensions["wordhold"]
    return settings.interface_language


def date_words() -> DateWords:
    """Return the words for dates in the reader's language."""
    return voice_of(interface_language()).date_words


def verdict_wording() -> Wording:
    """Return the words for verdicts and their reasons in the reader's language."""
    return voice_of(interface_language()).verdict_wording


def profile_words(profile: Profile) -> str:
    """Return what a profile states, in one line."""
    return voice_of(interface_language()).profile(profile)


def clause_words(clause: AnyClause) -> str:
    """Return what a clause says."""
    return voice_of(interface_language()).clause(clause)
