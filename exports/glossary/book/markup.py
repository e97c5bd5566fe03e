"""The environment of the templates of the e-book and the site."""

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from exports.glossary.book.book import Words
from termbase.voice import Voice

__all__ = ["template_environment"]

SHARED = Path(__file__).with_name("templates")


def template_environment(folder: Path, voice: Voice, words: Words, own_lang: str) -> Environment:
    """Return an environment with the templates of a folder and the shared ones; it escapes the record.

    Templates translate their own texts with `_()` and use the book's `words`; their `own_lang` is empty if
    the record's own texts are in the language of the book.
    """
    environment = Environment(
        loader=FileSystemLoader([folder, SHARED]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )

    def say(text: str, **values: object) -> str:
        translated = voice.word(text)
        return translated % values if values else translated

    environment.globals["_"] = say
    environment.globals["words"] = words
    environment.globals["own_lang"] = own_lang if own_lang != voice.language else ""
    environment.filters["drawn"] = Markup
    return environment
