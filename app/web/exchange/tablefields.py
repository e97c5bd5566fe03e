"""The fields of a table in words, to choose what each column is."""

from collections.abc import Iterable, Sequence
from typing import Final

from app.web.language import gettext as _
from app.web.language import interface_language
from exports.tables.fields import FIELDS, field_at, record_at
from exports.tables.mapping import IN_A_LANGUAGE
from termbase.languages import tags
from termbase.record.entries import Entry, Term
from termbase.record.sources import Slip

__all__ = ["DEFAULTED", "field_choices", "tag_words", "witnessed_choices"]

DEFAULTED: Final = ("language", "origin", "topic", "source", "witnessed")
"""Fields that can have a default value, for empty cells or if there is no column."""

_RECORDS: Final = {Entry: "entry", Term: "name", Slip: "slip"}


def field_choices(languages: Iterable[str], keys: Sequence[str] = ()) -> list[tuple[str, str]]:
    """Return what a column can be: keys and words; names and definitions in these languages and those
    chosen."""
    chosen = (key.partition(":")[2] for key in keys if key.partition(":")[0] in IN_A_LANGUAGE)
    spoken = dict.fromkeys(tags.canonical(tag) for tag in (*languages, *chosen) if tags.is_well_formed(tag))
    tongues = {tag: tag_words(tag) for tag in spoken}
    names = [(f"names:{tag}", _("names, %(language)s", language=said)) for tag, said in tongues.items()]
    defined = [
        (f"definition:{tag}", _("definition, %(language)s", language=tag_words(tag))) for tag in spoken
    ]
    rest = [(key, _field_words(key)) for key in FIELDS]
    return [("", _("ignore")), *names, *defined, *rest]


def _field_words(key: str) -> str:
    """Return the label of a field, after that of its record: an entry, a name and a slip all have notes."""
    heading, record = _(field_at(key).heading), _(_RECORDS[record_at(key)])
    return heading if heading == record else f"{record}: {heading}"


def witnessed_choices(keys: Sequence[str]) -> list[tuple[str, str]]:
    """Return the options for which names of a row its source is a witness to, if its quotation contains none
    of them."""
    of_columns = [
        (key, _("only the names in %(language)s", language=tag_words(key.partition(":")[2])))
        for key in dict.fromkeys(keys)
        if key.startswith("names:")
    ]
    return [
        ("", "–"),
        ("all", _("every name in the row")),
        *of_columns,
        ("none", _("none: leave the slip unsorted")),
    ]


def tag_words(tag: str) -> str:
    """Return the name of a language, with its tag."""
    return f"{tags.display_name(tag, interface_language())} ({tag})"
