"""Sources for and from programs that keep references (CSL-JSON, BibTeX, RIS), and in a citation style."""

from exports.citations.exchange import FORMATS, FormatName, format_of, read_works, write_citations
from exports.citations.incoming import PlannedSource, plan_sources, take_in_sources
from exports.citations.styled import STYLES, StyleName, styled

__all__ = [
    "FORMATS",
    "STYLES",
    "FormatName",
    "PlannedSource",
    "StyleName",
    "format_of",
    "plan_sources",
    "read_works",
    "styled",
    "take_in_sources",
    "write_citations",
]
