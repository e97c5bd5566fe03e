"""The tool's own voice in the reader's language.

Every text of the interface goes through `gettext` (`_()` in templates); catalogues are gettext files under
`app/web/translations/<language>/LC_MESSAGES/messages.mo`. Without one the English of the code is shown.
"""

from functools import lru_cache
from pathlib import Path

from babel.support import NullTranslations, Translations
from flask import Flask, current_app, has_app_context

from app.web.settings import Settings

__all__ = ["gettext", "init_app", "interface_language", "ngettext"]

CATALOGUES = Path(__file__).parent / "translations"


def interface_language() -> str:
    """BCP 47 tag of the interface; English outside a request."""
    if not has_app_context():
        return "en"
    found: Settings = current_app.extensions["wordhold"]
    return found.interface_language


def gettext(text: str, **values: object) -> str:
    """A text of the interface; `%(name)s` in it is filled from `values`."""
    said = _catalogue(interface_language()).ugettext(text)
    return said % values if values else said


def ngettext(one: str, many: str, n: int, **values: object) -> str:
    """The form of a text that goes with a number; `%(n)s` in it is the number."""
    said = _catalogue(interface_language()).ungettext(one, many, n)
    return said % {"n": n, **values}


def init_app(app: Flask) -> None:
    """Give templates `_` and `ngettext`, with values escaped like any other."""
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.install_gettext_callables(  # type: ignore[attr-defined]
        lambda text: _catalogue(interface_language()).ugettext(text),
        lambda one, many, n: _catalogue(interface_language()).ungettext(one, many, n),
        newstyle=True,
    )


@lru_cache(maxsize=8)
def _catalogue(tag: str) -> NullTranslations:
    return Translations.load(CATALOGUES, [tag.replace("-", "_")])
