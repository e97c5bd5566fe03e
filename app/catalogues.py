"""The languages that the tool speaks, and its voice in each: gettext catalogues, read as they are.

Neither the web face nor the command line is needed here; both speak by these voices.
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
"""The languages of the interface by BCP 47 tag, each by its own name; the messages themselves are English."""

_FOLDER: Final = Path(__file__).parent / "web" / "translations"


def catalogue_path(tag: str) -> Path:
    """Where the catalogue of a language is."""
    return _FOLDER / tag.replace("-", "_") / "LC_MESSAGES" / "wordhold.po"


def spoken_language(tag: str) -> str:
    """The language spoken here that goes with a tag, whatever its region or script; English for any other."""
    primary = tag.partition("-")[0].lower()
    return primary if primary in LANGUAGES else "en"


@cache
def voice_of(tag: str) -> Voice:
    """The tool's voice in one of `LANGUAGES`; read from its catalogue when first asked for."""
    path = catalogue_path(tag)
    return Voice(tag, _Catalogue(tag, _read(path, tag))) if path.is_file() else ENGLISH


class _Catalogue:
    def __init__(self, language: str, found: NullTranslations) -> None:
        self.language = language
        self._found = found

    def one(self, text: str, /) -> str:
        return self._found.ugettext(text) if text else text  # the empty text is the head of a catalogue

    def number(self, one: str, many: str, n: int, /) -> str:
        return self._found.ungettext(one, many, n)


def _read(path: Path, tag: str) -> Translations:
    compiled = BytesIO()
    with path.open("rb") as file:
        write_mo(compiled, read_po(file, locale=tag))
    compiled.seek(0)
    return Translations(compiled)
