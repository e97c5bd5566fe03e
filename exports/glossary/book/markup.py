"""The template environment."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from exports.glossary.book.book import Words
from termbase.voice import Voice

__all__ = ["template_environment"]

SHARED = Path(__file__).with_name("templates")


def template_environment(folder: Path, voice: Voice, words: Words, own_lang: str) -> Environment:
    """Return an environment with the templates of a folder and the shared ones; everything from the record is
    escaped.

    Templates translate their own texts with `_()` and use the book's `words`; `own_lang` is set if the
    record's own texts are in another language, otherwise empty.
    """
    made = Environment(
        loader=FileSystemLoader([folder, SHARED]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )

    def say(text: str, **values: object) -> str:
        said = voice.word(text)
        return said % values if values else said

    made.globals["_"] = say
    made.globals["words"] = words
    made.globals["own_lang"] = own_lang if own_lang != voice.language else ""
    made.filters["drawn"] = Markup
    return made
