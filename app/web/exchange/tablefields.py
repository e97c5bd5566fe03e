"""The fields of a table in words, for the choice of what a column is."""

from collections.abc import Iterable, Sequence
from typing import Final

from app.web.language import gettext as _
from app.web.language import interface_language
from exports.tables import FIELDS
from exports.tables.mapping import IN_A_LANGUAGE
from termbase import tags

__all__ = ["DEFAULTED", "FIELD_WORDS", "field_choices", "tag_words", "witnessed_choices"]

DEFAULTED: Final = ("language", "origin", "topic", "source", "witnessed")
"""Fields for which one value can stand where a cell is empty or there is no column."""

FIELD_WORDS: Final = {
    "entry": "entry, by its id",
    "version": "version of the entry",
    "topic": "topic",
    "name_id": "name, by its id",
    "name": "name",
    "language": "language of the name",
    "origin": "where the name comes from",
    "status": "standing of the name",
    "type": "kind of name",
    "part_of_speech": "part of speech",
    "gender": "gender",
    "number": "grammatical number",
    "forms": "inflected forms",
    "pronunciation": "pronunciation",
    "register": "register",
    "region": "region",
    "name_note": "note on the name",
    "printed": "name as printed",
    "printed_language": "language as printed",
    "sort_form": "sort form",
    "usage_note": "usage note",
    "editor_note": "editor's note",
    "source": "source, by its label",
    "date": "date in the source",
    "quotation": "quotation from the source",
    "page": "page of the source",
    "slip_kind": "kind of quotation",
    "certainty": "certainty of the quotation",
}
"""What each field of a table is called in a choice; a new field of `exports.tables` needs its row here."""


def field_choices(languages: Iterable[str], keys: Sequence[str] = ()) -> list[tuple[str, str]]:
    """What a column can be: its key and words; names and definitions in these languages and those chosen."""
    chosen = (key.partition(":")[2] for key in keys if key.partition(":")[0] in IN_A_LANGUAGE)
    spoken = dict.fromkeys(tags.canonical(tag) for tag in (*languages, *chosen) if tags.is_well_formed(tag))
    tongues = {tag: tag_words(tag) for tag in spoken}
    names = [(f"names:{tag}", _("names, %(language)s", language=said)) for tag, said in tongues.items()]
    defined = [
        (f"definition:{tag}", _("definition, %(language)s", language=tag_words(tag))) for tag in spoken
    ]
    rest = [(key, _(FIELD_WORDS[key])) for key in FIELDS]
    return [("", _("leave it alone")), *names, *defined, *rest]


def witnessed_choices(keys: Sequence[str]) -> list[tuple[str, str]]:
    """Which names of a row its source stands for, where its quotation holds none of them."""
    of_columns = [
        (key, _("only the names, %(language)s", language=tag_words(key.partition(":")[2])))
        for key in dict.fromkeys(keys)
        if key.startswith("names:")
    ]
    return [
        ("", "–"),
        ("all", _("every name of the row")),
        *of_columns,
        ("none", _("none: the slip waits to be sorted")),
    ]


def tag_words(tag: str) -> str:
    """A language by its name, with its tag."""
    return f"{tags.display_name(tag, interface_language())} ({tag})"
