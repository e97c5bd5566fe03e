"""The field names shown in the history, and the names of initial mutations, read from their own tables."""

from collections.abc import Iterator

from termbase.fields.declarations import fields_of, records_within
from termbase.languages.files import language, shipped_tags
from termbase.record.entries import Entry
from termbase.record.merging import question_subject
from termbase.store.rows import KINDS

__all__ = ["asked_words", "field_words", "mutation_words"]


def field_words() -> Iterator[str]:
    """Yield the name of each field of every kind of record, and the words of its closed list."""
    for kind in KINDS.values():
        for record in records_within(kind.cls):
            for field in fields_of(record):
                if not field.is_a.bookkeeping:
                    yield str(field.word)
                yield from (str(word) for word in field.words)


def asked_words() -> Iterator[str]:
    """Yield the subjects of the questions asked when two entries are merged."""
    yield from (str(question_subject(f)) for f in fields_of(Entry) if f.is_a.merge in ("ask", "ask both"))


def mutation_words() -> Iterator[str]:
    """Yield the names of the mutations of every language that has a file, as search results show them."""
    for tag in shipped_tags():
        yield from (mutation.name.replace("_", " ") for mutation in language(tag).mutations)
