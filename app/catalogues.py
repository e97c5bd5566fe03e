"""The interface languages, and the voice for each: gettext catalogues, read without compiling.

The web interface and the command line both use these voices.
"""

from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Final

from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.support import NullTranslations, Translations

from termbase.voice import ENGLISH, Voice

__all__ = ["LANGUAGES", "catalogue_path", "spoken_language", "voice_of"]

LANGUAGES: Final[dict[str, str]] = {"en": "English", "cy": "Cymraeg", "ga": "Gaeilge"}
"""The interface languages by BCP 47 tag, each with its own name; the messages themselves are English."""

_FOLDER: Final = Path(__file__).parent / "web" / "translations"


def catalogue_path(tag: str) -> Path:
    """Return the path of a language's catalogue."""
    return _FOLDER / tag.replace("-", "_") / "LC_MESSAGES" / "wordhold.po"


def spoken_language(tag: str) -> str:
    """Return the interface language for a tag, ignoring region and script; English if there is none."""
    primary = tag.partition("-")[0].lower()
    return primary if primary in LANGUAGES else "en"


@cache
def voice_of(tag: str) -> Voice:
    """Return the voice for one of `LANGUAGES`; its catalogue is read on first use."""
    path = catalogue_path(tag)
    return Voice(tag, _Catalogue(tag, _read(path, tag))) if path.is_file() else ENGLISH


class _Catalogue:
    def __init__(self, language: str, translations: NullTranslations) -> None:
        self.language = language
        self._translations = translations

    def one(self, text: str, /) -> str:
        return self._translations.ugettext(text) if text else text  # the empty text is the catalogue's header

    def number(self, one: str, many: str, n: int, /) -> str:
        return self._translations.ungettext(one, many, n)


def _read(path: Path, tag: str) -> Translations:
    compiled = BytesIO()
    with path.open("rb") as file:
        write_mo(compiled, read_po(file, locale=tag))
    compiled.seek(0)
    return Translations(compiled)
