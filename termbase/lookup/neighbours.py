"""Where a name would stand in the alphabetical order of its language."""

from sqlalchemy import select

from termbase.languages.alphabets import sort_key
from termbase.store import tables
from termbase.store.reading import Reader

__all__ = ["neighbours"]


def neighbours(reader: Reader, sort_form: str, tag: str, *, without: str = "") -> tuple[str, str]:
    """The heads between which a name stands when it is sorted by this form; empty at either end of the list.

    Args:
        without: id of a name that is not asked about (the name itself).

    Raises:
        BadInput: the tag is not well formed.
    """
    term = tables.term.c
    key = sort_key(sort_form, tag)
    heads = select(term.text).where(term.language == tag, term.is_head, term.id != without).limit(1)
    before = reader.connection.scalar(heads.where(term.sort_key < key).order_by(term.sort_key.desc()))
    after = reader.connection.scalar(heads.where(term.sort_key > key).order_by(term.sort_key))
    return before or "", after or ""
