"""Merging an entry that comes back from another system: what that system can express is imported, the rest
is kept.

Each field declares how it is merged (`termbase.fields.declarations.Back`); RULES holds the special cases.
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final, TypeVar

from termbase.fields.declarations import changed_by, fields_of, rule_of
from termbase.record.entries import Definition, Entry, Term
from termbase.record.foreign_notes import united
from termbase.record.sources import Source, SourceKind

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["RULES", "merged"]

Made = TypeVar("Made", bound="DataclassInstance")


def merged(stored: Made, incoming: Made) -> Made:
    """Return the stored record updated with what differs in the incoming one and what it adds.

    Nothing is removed: what the other system leaves empty or does not have is kept.
    """
    values: dict[str, object] = {}
    for field in fields_of(type(stored)):
        current, new = getattr(stored, field.name), getattr(incoming, field.name)
        match field.is_a.back:
            case "replaces":
                values[field.name] = new or current
            case "unites":
                values[field.name] = tuple(dict.fromkeys((*current, *new)))
            case "lines":
                values[field.name] = _lines(current, new)
            case "special":
                values[field.name] = rule_of(RULES, type(stored), field.name)(stored, incoming)
    return changed_by(stored, values)


def _lines(stored: str, incoming: str) -> str:
    """Return the lines here followed by the new ones."""
    known = set(stored.splitlines())
    return "\n".join(filter(None, (stored, *(line for line in incoming.splitlines() if line not in known))))


def _terms(stored: Entry, incoming: Entry) -> tuple[Term, ...]:
    """Return the terms here, each updated from the file, followed by the new ones."""
    by_id = {t.id: t for t in incoming.terms}
    updated = [merged(t, by_id.pop(t.id)) if t.id in by_id else t for t in stored.terms]
    return (*updated, *by_id.values())


def _definitions(stored: Entry, incoming: Entry) -> tuple[Definition, ...]:
    """Per language: the first definition is replaced if it differs; further ones are added."""
    texts = {(d.language, d.text) for d in stored.definitions}
    new = [d for d in incoming.definitions if (d.language, d.text) not in texts]
    result = list(stored.definitions)
    kept = {(d.language, d.text) for d in incoming.definitions}
    for definition in new:
        position = next(
            (
                n
                for n, d in enumerate(result)
                if d.language == definition.language and (d.language, d.text) not in kept
            ),
            None,
        )
        if position is None:
            result.append(definition)
        else:
            result[position] = merged(result[position], definition)
            kept.add((definition.language, definition.text))
    return tuple(result)


def _sort_text(stored: Term, incoming: Term) -> str:
    """Return the sort form, as long as it still belongs to the name."""
    return "" if incoming.text and incoming.text != stored.text else stored.sort_text


def _source_kind(stored: Source, incoming: Source) -> SourceKind:
    """Return the incoming kind, unless it is *other*, which says nothing."""
    return stored.kind if incoming.kind is SourceKind.OTHER else incoming.kind


RULES: Final[Mapping[tuple[type, str], Callable[..., object]]] = {
    (Entry, "terms"): _terms,
    (Entry, "definitions"): _definitions,
    (Entry, "foreign_notes"): lambda stored, incoming: united(stored.foreign_notes, incoming.foreign_notes),
    (Term, "sort_text"): _sort_text,
    (Term, "foreign_notes"): lambda stored, incoming: united(stored.foreign_notes, incoming.foreign_notes),
    (Source, "kind"): _source_kind,
}
"""The rule for each field whose `back` is special, by declaring class and field name; called with the stored
record and the incoming one."""
