"""Statements grouped by subject, as Turtle or as nodes of JSON-LD, without building a graph.

A group is written as soon as its batch is complete, so memory use stays flat; a statement that occurs twice
within a batch is written once. Turtle: W3C Recommendation, 25 February 2014, 2.4 (IRIs) and 2.5 (literals).
JSON-LD: W3C Recommendation 1.1, 16 July 2020, 4.2 (types and values).
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from rdflib import RDF, Literal, URIRef

from exports.losses import (
    BOOKKEEPING,
    CARRIED,
    EDITORS,
    HERE,
    IN_BACKUP,
    NO_ADDRESS,
    WHO_WAS_THERE,
    Reasons,
    reason_table,
)
from termbase.messages import message

__all__ = ["LEFT_OUT", "Names", "Triple", "json_ld_nodes", "turtle_pieces"]


Triple = tuple[URIRef, URIRef, URIRef | Literal]

_LOCAL: Final = re.compile(r"[A-Za-z][A-Za-z0-9_]*")
_UNFIT_IN_IRI: Final = re.compile(r'[\x00-\x20<>"{}|^`\\]')
_UNFIT_IN_TEXT: Final = re.compile(r'["\\\x00-\x1f\x7f]')
_ESCAPES: Final = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\r": "\\r", "\t": "\\t"}


class Names:
    """Addresses shortened with prefixes.

    Args:
        prefixes: the namespace of each prefix.
    """

    def __init__(self, prefixes: Mapping[str, str]) -> None:
        self._prefixes = {namespace: prefix for prefix, namespace in prefixes.items()}

    def short(self, iri: str) -> str:
        """Return `skos:broader`; empty if no prefix fits."""
        for sign in "#/":
            head, separator, local = iri.rpartition(sign)
            prefix = self._prefixes.get(head + separator)
            if prefix is not None and _LOCAL.fullmatch(local):
                return f"{prefix}:{local}"
        return ""


def turtle_pieces(triples: Iterable[Triple], names: Names) -> Iterator[tuple[str, int]]:
    """Yield the statements about each subject as Turtle, with their number."""
    known: dict[URIRef, str] = {}

    def address(iri: URIRef) -> str:
        return names.short(iri) or f"<{_UNFIT_IN_IRI.sub(_numbered, iri)}>"

    def named(iri: URIRef) -> str:
        name = known.get(iri)
        if name is None:
            name = known[iri] = "a" if iri == RDF.type else address(iri)
        return name

    def written(value: URIRef | Literal) -> str:
        if not isinstance(value, Literal):
            return address(value)
        quoted = f'"{_UNFIT_IN_TEXT.sub(_escaped, value)}"'
        if value.language:
            return f"{quoted}@{value.language}"
        return f"{quoted}^^{named(value.datatype)}" if value.datatype else quoted

    groups: dict[URIRef, dict[str, dict[str, None]]] = {}
    for subject, predicate, value in triples:
        groups.setdefault(subject, {}).setdefault(named(predicate), {})[written(value)] = None
    for subject, properties in groups.items():
        lines = " ;\n    ".join(
            f"{predicate} {', '.join(values)}" for predicate, values in properties.items()
        )
        yield f"\n{address(subject)} {lines} .\n", sum(map(len, properties.values()))


def json_ld_nodes(triples: Iterable[Triple], names: Names) -> Iterator[tuple[dict[str, object], int]]:
    """Yield the statements about each subject as a node of JSON-LD, with their number."""
    groups: dict[URIRef, dict[str, dict[URIRef | Literal, None]]] = {}
    for subject, predicate, value in triples:
        key = "@type" if predicate == RDF.type else names.short(predicate) or str(predicate)
        groups.setdefault(subject, {}).setdefault(key, {})[value] = None
    for subject, properties in groups.items():
        node: dict[str, object] = {"@id": str(subject)}
        for key, values in properties.items():
            node[key] = [_type(v, names) if key == "@type" else _value(v, names) for v in values]
        yield node, sum(map(len, properties.values()))


def _type(value: URIRef | Literal, names: Names) -> str:
    return names.short(value) or str(value)


def _value(value: URIRef | Literal, names: Names) -> dict[str, str] | str:
    if not isinstance(value, Literal):
        return {"@id": str(value)}
    if value.language:
        return {"@value": str(value), "@language": value.language}
    if value.datatype:
        return {"@value": str(value), "@type": names.short(value.datatype) or str(value.datatype)}
    return str(value)


def _escaped(match: re.Match[str]) -> str:
    return _ESCAPES.get(match[0]) or _numbered(match)


def _numbered(match: re.Match[str]) -> str:
    return f"\\u{ord(match[0]):04X}"


_NO_WORD: Final = message("The vocabularies used have no term for it.")
_IN_WORDS: Final = message("How it is done is described in words; the full profile is exported as TOML.")
_CODES: Final = message("A concept scheme only names a rule code with its verdict.")

LEFT_OUT: Final[Reasons] = reason_table(
    (BOOKKEEPING, ("termbase.version", "entry.version", "source.version", "source.pattern", "slip.version",
                   "slip.joined_to", "slip.apart", "term.sort_text")),
    (EDITORS, ("entry.editor_note", "slip.note")),
    (HERE, ("note.accepted_by", "note.accepted_on", "note.file")),
    (_IN_WORDS, ("said.basis", "said.ref", "hand.also", "hand.essential", "technique.left_form",
                 "technique.names", "technique.note")),
    (_NO_WORD, ("analogue.source_id",)),
    (_CODES, ("code",)),
    (message("The file says whether both readings are signed, but not by whom."), ("reading",)),
    (WHO_WAS_THERE, ("person", "entry.created_by", "entry.changed_by", "trial.people")),
    (message("Its outcome is part of the evidence for the practice."), ("trial",)),
    (NO_ADDRESS, ("figure", "image", "slip.image_id", "trial.image_ids")),
    (IN_BACKUP, ("page", "line", "redirect")),
    (CARRIED, ("code.name", "trial.outcome", "trial.entry_id", "redirect.id", "redirect.target_id")),
)  # fmt: skip
"""What linked data leaves out, and why."""
