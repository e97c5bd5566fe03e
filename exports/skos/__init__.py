"""Linked data: SKOS with SKOS-XL labels and PROV as Turtle or JSON-LD, and schema.org for web pages."""

from exports.skos.schemaorg import as_script, defined_term, defined_term_set
from exports.skos.writer import FormatName, SkosReport, write_skos

__all__ = [
    "FormatName",
    "SkosReport",
    "as_script",
    "defined_term",
    "defined_term_set",
    "write_skos",
]
