"""An entry or a termbase as schema.org DefinedTerm and DefinedTermSet, JSON-LD to embed in web pages.

Source: https://schema.org/DefinedTerm, https://schema.org/DefinedTermSet.
"""

import json
from collections.abc import Iterable
from typing import Final

from exports.tbx.xmltext import web_address
from termbase.record.entries import Entry, heads
from termbase.record.people import Termbase

__all__ = ["as_script", "defined_term", "defined_term_set"]

Node = dict[str, object]
_CONTEXT: Final = "https://schema.org"
_ESCAPED: Final = str.maketrans({"<": "\\u003c", ">": "\\u003e", "&": "\\u0026"})


def defined_term(entry: Entry, termbase: Termbase, *, url: str, set_url: str) -> Node:
    """Return one entry, for its page.

    Args:
        entry: the entry.
        termbase: the termbase it belongs to.
        url: address of the entry's page.
        set_url: address of the termbase's first page.
    """
    part_of: Node = {"@type": "DefinedTermSet", "@id": set_url, "name": termbase.title}
    return {"@context": _CONTEXT, **_term(entry, termbase, url), "inDefinedTermSet": part_of}


def defined_term_set(termbase: Termbase, entries: Iterable[tuple[Entry, str]] = (), *, set_url: str) -> Node:
    """Return the termbase, for its first page.

    Args:
        termbase: title, languages, licence.
        entries: the entries to list, each with the address of its page.
        set_url: address of the first page.
    """
    node: Node = {
        "@context": _CONTEXT,
        "@type": "DefinedTermSet",
        "@id": set_url,
        "url": set_url,
        "name": termbase.title,
        "inLanguage": list(termbase.languages),
    }
    if termbase.licence:
        node["license"] = termbase.licence
    if termbase.rights:
        node["copyrightNotice"] = termbase.rights
    if termbase.notice:
        node["disambiguatingDescription"] = termbase.notice
    terms = [_term(entry, termbase, url) for entry, url in entries]
    if terms:
        node["hasDefinedTerm"] = terms
    return node


def as_script(node: Node) -> str:
    """Return the whole `<script>` element; no text can end it or begin another element."""
    safe = json.dumps(node, ensure_ascii=False).translate(_ESCAPED)
    return f'<script type="application/ld+json">{safe}</script>'


def _term(entry: Entry, termbase: Termbase, url: str) -> Node:
    order = termbase.languages
    found = heads(entry)
    preferred = [found[tag] for tag in (*order, *found) if tag in found]
    names = list(dict.fromkeys(term.text for term in preferred))
    others = [t.text for t in entry.terms if t.text not in names]
    node: Node = {"@type": "DefinedTerm", "@id": url, "url": url, "termCode": entry.id}
    if names:
        node["name"] = names[0]
    if alternate := list(dict.fromkeys((*names[1:], *others))):
        node["alternateName"] = alternate
    definitions = {d.language: d.text for d in reversed(entry.definitions)}
    description = next((definitions[tag] for tag in (*order, *definitions) if tag in definitions), "")
    if description:
        node["description"] = description
    images = [figure.image_id for figure in entry.figures if web_address(figure.image_id)]
    if images:
        node["image"] = images
    return node
