"""Addresses and names: published vocabularies, and a few properties of our own for what they do not cover.

Our own properties are below the address at which the termbase is published (`vocabulary#...`), each with a
label and a comment in the file itself, so the file explains them wherever it is published.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final
from urllib.parse import quote

from rdflib import RDF, RDFS, Graph, Literal, Namespace, URIRef
from rdflib.namespace import DCTERMS, PROV, SKOS, XSD

from termbase.errors import BadInput
from termbase.fields.declarations import Member, Text, field_of, fields_of
from termbase.languages import tags
from termbase.messages import message
from termbase.record.entries import Term

__all__ = ["DEFAULT_BASE", "EDTF", "OF_NAMES", "SKOSXL", "Addresses", "text"]

SKOSXL: Final = Namespace("http://www.w3.org/2008/05/skos-xl#")
EDTF: Final = URIRef("http://id.loc.gov/datatypes/edtf/EDTF")
DEFAULT_BASE: Final = "https://example.org/wordhold/"
"""The address of a termbase if none is given: a domain reserved for examples (RFC 2606)."""

_BASE: Final = re.compile(
    r"(https?://[^\s<>\"{}|\\^`#?]+|urn:[A-Za-z0-9][A-Za-z0-9-]+:[^\s<>\"{}|\\^`#?]*)[/:]"
)
_UNFIT: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")

_OWN: Final = {
    "origin": (
        "Where a name comes from: in use, word-list, rebuilt (today, from recorded parts), coined "
        "(today), or not stated."
    ),
    "status": "Administrative status of a name (ISO 30042).",
    "partOfSpeech": "Word class of a name.",
    "gender": "Grammatical gender of a name.",
    "number": "Grammatical number of a name.",
    "register": "Level of language of a name.",
    "region": "Where a name is used.",
    "termType": "Form of the name: full form, variant, short form, phrase.",
    "inflectedForm": "An inflected form, preceded by its label.",
    "pronunciation": "Pronunciation (IPA).",
    "asPrinted": "The form as printed, if it differs.",
    "evidence": "How well a name, a mechanic or a practice is attested.",
    "topic": "Kind of concept.",
    "ready": "Whether both readings, for language and for practice, are signed.",
    "counterTo": "The technique counters the other.",
    "follows": "The technique follows on the other.",
    "contrastsWith": "The concept contrasts with the other.",
    "analogue": "What the same mechanic is called in a living style.",
    "technique": "How the technique is done, in words, as far as it is known.",
    "verdict": "The verdict of a rule code on the technique, from its profile; not a statement of safety.",
    "ruling": "An editor's ruling that overrides a verdict, with its reason.",
    "name": "The name as the quotation prints it.",
    "locator": "Where the quotation is in the source.",
    "kind": "The kind of a source, or what a quotation does with the name, or not stated.",
    "presence": "How the quotation contains the name, as the editor states, if no form of it is recognised.",
    "certainty": "How certain it is that the quotation bears witness to the name, or not stated.",
}
_NAMED_OTHERWISE: Final = {"type": "termType"}
_WITH_A_RULE: Final = frozenset(
    {"id", "text", "language", "printed", "printed_language", "usage_note", "sort_text"}
)  # fmt: skip

OF_NAMES: Final = {
    field.name: _NAMED_OTHERWISE.get(field.name, field.in_camel_case)
    for field in fields_of(Term)
    if isinstance(field.is_a, Text | Member) and field.name not in _WITH_A_RULE
}
"""Fields of a name that each have a property of our own, with its label."""
_MEANINGS: Final = {
    name: f"{str(field_of(Term, field).word).capitalize()} of a name." for field, name in OF_NAMES.items()
} | _OWN
_RELATIONS: Final = ("counterTo", "follows", "contrastsWith")


@dataclass(frozen=True)
class Addresses:
    """The addresses (IRIs) of one termbase.

    Attributes:
        base: the address where it is published, ending in `/` or `:`.
    """

    base: str

    @classmethod
    def at(cls, base: str) -> "Addresses":
        """Return the addresses under a base.

        Raises:
            BadInput: it is not an http(s) address or URN, or does not end in a slash or colon.
        """
        if not _BASE.fullmatch(base):
            raise BadInput(
                message("%(base)r is not a valid address to publish under.", base=base),
                where="base",
                fix=message("Use an address such as https://glossary.example/terms/ that ends with a slash."),
            )
        return cls(base)

    @property
    def scheme(self) -> URIRef:
        """The termbase as a concept scheme."""
        return URIRef(f"{self.base}scheme")

    def of(self, record_id: str, part: str = "") -> URIRef:
        """Return the address of a record (entry, name, source, slip, person or rule code) or of a part of
        it."""
        return URIRef(f"{self.base}{quote(record_id, safe='')}{part and '-'}{part}")

    def own(self, name: str) -> URIRef:
        """Return a property of our own."""
        assert name in _MEANINGS, name
        return URIRef(f"{self.base}vocabulary#{name}")

    def bind(self, graph: Graph) -> Graph:
        """Add the prefixes of these vocabularies to a graph."""
        for prefix, namespace in self.prefixes().items():
            graph.bind(prefix, namespace, override=True)
        return graph

    def prefixes(self) -> dict[str, str]:
        """Return the prefixes that files use."""
        published = {"skos": SKOS, "xl": SKOSXL, "dct": DCTERMS, "prov": PROV}
        published |= {"rdfs": RDFS, "rdf": RDF, "xsd": XSD}
        return {
            **{prefix: str(namespace) for prefix, namespace in published.items()},
            "edtf": str(EDTF).removesuffix("EDTF"),
            "wh": f"{self.base}vocabulary#",
        }

    def meanings(self) -> Iterator[tuple[URIRef, URIRef, URIRef | Literal]]:
        """Yield the meanings of our own properties."""
        for name, comment in _MEANINGS.items():
            yield self.own(name), RDF.type, RDF.Property
            yield self.own(name), RDFS.comment, Literal(comment, lang="en")
        for name in _RELATIONS:
            yield self.own(name), RDFS.subPropertyOf, SKOS.semanticRelation


def text(value: str, language: str = "") -> Literal:
    """Return a text, with a language if its tag is well formed. Characters that XML does not allow become
    U+FFFD."""
    fit = _UNFIT.sub("\ufffd", value)
    if not language or not tags.is_well_formed(language):
        return Literal(fit)
    return Literal(fit, lang=tags.canonical(language))
