"""What comes back from another system: what that system can say goes in, what it cannot stays."""

from dataclasses import fields, replace
from typing import Any

from termbase.entries import Definition, Entry, Term
from termbase.foreignnotes import united
from termbase.people import Person
from termbase.sources import Source, SourceKind

__all__ = ["merged", "merged_named"]

_SAID = (
    "text", "language", "part_of_speech", "gender", "number", "pronunciation", "register", "region", "type",
    "status",
)  # fmt: skip
"""Fields of a term that other systems have as well; what they leave open is not taken away here."""


def merged(stored: Entry, incoming: Entry) -> Entry:
    """The stored entry with what the incoming one says differently, and what it has besides.

    Nothing is taken away: terms and definitions that the other system does not have stay.
    """
    by_id = {t.id: t for t in incoming.terms}
    terms = [_term(t, by_id.pop(t.id, None)) for t in stored.terms]
    return replace(
        stored,
        topic=incoming.topic or stored.topic,
        terms=(*terms, *by_id.values()),
        definitions=_definitions(stored.definitions, incoming.definitions),
        relations=tuple(dict.fromkeys((*stored.relations, *incoming.relations))),
        usage_note=incoming.usage_note or stored.usage_note,
        editor_note=_notes(stored.editor_note, incoming.editor_note),
        foreign_notes=united(stored.foreign_notes, incoming.foreign_notes),
    )


def merged_named(stored: Person | Source, incoming: Person | Source) -> Person | Source:
    """The stored person or source with what the incoming one says; what that one leaves empty stays."""
    said: dict[str, Any] = {f.name: value for f in fields(incoming) if (value := getattr(incoming, f.name))}
    if said.get("kind") is SourceKind.OTHER:  # what a source is called that says nothing of its kind
        del said["kind"]
    return replace(stored, **said)


def _term(stored: Term, incoming: Term | None) -> Term:
    if incoming is None:
        return stored
    said = {name: value for name in _SAID if (value := getattr(incoming, name))}
    notes = united(stored.foreign_notes, incoming.foreign_notes)
    return replace(stored, **said, foreign_notes=notes)


def _definitions(stored: tuple[Definition, ...], incoming: tuple[Definition, ...]) -> tuple[Definition, ...]:
    """By language: the first of each language is replaced where it says something else; more are added."""
    texts = {(d.language, d.text) for d in stored}
    new = [d for d in incoming if (d.language, d.text) not in texts]
    found = list(stored)
    kept = {(d.language, d.text) for d in incoming}
    for definition in new:
        place = next(
            (
                n
                for n, d in enumerate(found)
                if d.language == definition.language and (d.language, d.text) not in kept
            ),
            None,
        )
        if place is None:
            found.append(definition)
        else:
            old = found[place]
            found[place] = replace(definition, source_id=definition.source_id or old.source_id)
            kept.add((definition.language, definition.text))
    return tuple(found)


def _notes(stored: str, incoming: str) -> str:
    """The notes here, and those lines that are new."""
    here = set(stored.splitlines())
    return "\n".join(filter(None, (stored, *(line for line in incoming.splitlines() if line not in here))))
