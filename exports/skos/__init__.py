"""Linked data: SKOS with SKOS-XL labels and PROV as Turtle or JSON-LD, and schema.org for web pages."""

from exports.skos.schemaorg import as_script, defined_term, defined_term_set
from exports.skos.writer import EXTENSIONS, FORMATS, FormatName, SkosReport, write_skos

__all__ = [
    "EXTENSIONS",
    "FORMATS",
    "FormatName",
    "SkosReport",
    "as_script",
    "defined_term",
    "defined_term_set",
    "write_skos",
]
