"""What comes back from another system: what that system can say goes in, what it cannot stays.

What becomes of a field stands with the field (`termbase.fields.Back`); RULES holds what is special.
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Final, TypeVar

from termbase.entries import Definition, Entry, Term
from termbase.fields import changed_by, fields_of, rule_of
from termbase.foreignnotes import united
from termbase.sources import Source, SourceKind

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["RULES", "merged"]

Made = TypeVar("Made", bound="DataclassInstance")


def merged(stored: Made, incoming: Made) -> Made:
    """The stored record with what the incoming one says differently, and what it has besides.

    Nothing is taken away: what the other system leaves empty or does not have stays.
    """
    values: dict[str, object] = {}
    for field in fields_of(type(stored)):
        here, comes = getattr(stored, field.name), getattr(incoming, field.name)
        match field.is_a.back:
            case "replaces":
                values[field.name] = comes or here
            case "unites":
                values[field.name] = tuple(dict.fromkeys((*here, *comes)))
            case "lines":
                values[field.name] = _lines(here, comes)
            case "special":
                values[field.name] = rule_of(RULES, type(stored), field.name)(stored, incoming)
    return changed_by(stored, values)


def _lines(stored: str, incoming: str) -> str:
    """What is here, and those lines that are new."""
    here = set(stored.splitlines())
    return "\n".join(filter(None, (stored, *(line for line in incoming.splitlines() if line not in here))))


def _terms(stored: Entry, incoming: Entry) -> tuple[Term, ...]:
    """Those here, each with what is said of it, and those that are new."""
    by_id = {t.id: t for t in incoming.terms}
    here = [merged(t, by_id.pop(t.id)) if t.id in by_id else t for t in stored.terms]
    return (*here, *by_id.values())


def _definitions(stored: Entry, incoming: Entry) -> tuple[Definition, ...]:
    """By language: the first of each language is replaced where it says something else; more are added."""
    texts = {(d.language, d.text) for d in stored.definitions}
    new = [d for d in incoming.definitions if (d.language, d.text) not in texts]
    found = list(stored.definitions)
    kept = {(d.language, d.text) for d in incoming.definitions}
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
            found[place] = merged(found[place], definition)
            kept.add((definition.language, definition.text))
    return tuple(found)


def _sort_text(stored: Term, incoming: Term) -> str:
    """How the name is sorted, as long as it is that name."""
    return "" if incoming.text and incoming.text != stored.text else stored.sort_text


def _source_kind(stored: Source, incoming: Source) -> SourceKind:
    """What is said of the kind; a source of which nothing is known is called by no kind of its own."""
    return stored.kind if incoming.kind is SourceKind.OTHER else incoming.kind


RULES: Final[Mapping[tuple[type, str], Callable[..., object]]] = {
    (Entry, "terms"): _terms,
    (Entry, "definitions"): _definitions,
    (Entry, "foreign_notes"): lambda stored, incoming: united(stored.foreign_notes, incoming.foreign_notes),
    (Term, "sort_text"): _sort_text,
    (Term, "foreign_notes"): lambda stored, incoming: united(stored.foreign_notes, incoming.foreign_notes),
    (Source, "kind"): _source_kind,
}
"""The rule of each field whose `back` is special, by the class that declares it and its name; called with the
stored record and the incoming one."""
