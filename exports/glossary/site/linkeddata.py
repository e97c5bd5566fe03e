"""The description of each page in the vocabulary of schema.org (version 28; types DefinedTerm,
DefinedTermSet, Quotation), as JSON-LD."""

from collections.abc import Iterable

import msgspec

from exports.glossary.book.book import Article, Name, Quotation
from termbase.record.people import Termbase

__all__ = ["term_data", "term_set_data"]

CONTEXT = "https://schema.org"


def term_data(made: Article, termbase: Termbase) -> str:
    """Return the description of an entry's page."""
    others = [*made.others, *(name for group in made.names for name in group.names)]
    return _script(
        {
            "@context": CONTEXT,
            "@type": "DefinedTerm",
            "@id": f"{made.id}.html",
            "url": f"{made.id}.html",
            "termCode": made.id,
            "name": _said(made.head),
            "alternateName": [_said(name) for name in others],
            "description": [_in(d.text, d.lang) for d in made.definitions],
            "disambiguatingDescription": " ".join(
                filter(
                    None,
                    (f"{made.draft[:1].upper()}{made.draft[1:]}." if made.draft else "", termbase.notice),
                )
            ),
            "subjectOf": [_quoted(q) for q in made.quotations],
            "inDefinedTermSet": {"@type": "DefinedTermSet", "@id": "../index.html", "name": termbase.title},
        }
    )


def term_set_data(termbase: Termbase, tags: Iterable[str], as_of: str) -> str:
    """Return the description of the first page."""
    return _script(
        {
            "@context": CONTEXT,
            "@type": "DefinedTermSet",
            "@id": "index.html",
            "name": termbase.title,
            "inLanguage": list(tags),
            "description": termbase.notice,
            "dateModified": as_of,
            "license": {"@type": "CreativeWork", "name": termbase.licence} if termbase.licence else "",
            "copyrightNotice": termbase.rights,
        }
    )


def _said(name: Name) -> object:
    return _in(name.text, name.lang)


def _in(text: str, tag: str) -> object:
    return {"@value": text, "@language": tag} if tag else text


def _quoted(quotation: Quotation) -> object:
    return _given(
        {
            "@type": "Quotation",
            "text": _in(quotation.text, quotation.lang),
            "isPartOf": {"@type": "CreativeWork", "name": quotation.source},
            "temporal": quotation.date,
        }
    )


def _given(data: dict[str, object]) -> dict[str, object]:
    return {key: value for key, value in data.items() if value not in ("", [])}


def _script(data: dict[str, object]) -> str:
    """Return JSON that is safe in a script element, whatever the record contains."""
    return msgspec.json.encode(_given(data)).decode().replace("<", "\\u003c").replace("&", "\\u0026")
