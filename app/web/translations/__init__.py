"""The catalogues of the interface, `<language>/LC_MESSAGES/wordhold.po`, and what is to be translated.

The catalogues are read as text when the web face speaks, so no compiled file is kept. `python -m
app.web.translations` brings them up to date with the code and names what waits for a translation.
"""

from pathlib import Path
from typing import Final

__all__ = ["LANGUAGES", "catalogue_path"]

LANGUAGES: Final[dict[str, str]] = {"en": "English", "cy": "Cymraeg", "ga": "Gaeilge"}
"""The languages of the interface by BCP 47 tag, each by its own name; the messages themselves are English."""


def catalogue_path(tag: str) -> Path:
    """Where the catalogue of a language is."""
    return Path(__file__).parent / tag.replace("-", "_") / "LC_MESSAGES" / "wordhold.po"
