"""Builds the pages of the site, with their descriptions for search engines.

The descriptions are JSON-LD in the vocabulary of schema.org (version 28; types DefinedTerm, DefinedTermSet,
Quotation).
"""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import NamedTuple

import msgspec

from exports.glossary.book import wording
from exports.glossary.book.articles import article, names_of
from exports.glossary.book.assembling import index_of, narrowed_words, works_of
from exports.glossary.book.book import Article, Group, IndexGroup, Name, Picture, Quotation, Ref, Selection
from exports.glossary.book.front import front_matter
from exports.glossary.book.markup import template_environment
from exports.glossary.book.rules import chosen_codes, code_texts
from exports.glossary.site.outline import Outline, Section
from termbase.messages import message, message_of_number
from termbase.overviews.articles import Article as RecordArticle
from termbase.overviews.articles import Library
from termbase.overviews.removals import DeletedEntry
from termbase.record.cautions import own_cautions
from termbase.record.people import CAUTIONS, Termbase
from termbase.voice import Voice

__all__ = ["Pages", "term_data", "term_set_data"]

CONTEXT = "https://schema.org"
TEMPLATES = Path(__file__).with_name("templates")
WHOLE_LIST = 400
"""A list with at most this many names is also given on one page."""


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
            "name": _name(made.head),
            "alternateName": [_name(name) for name in others],
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


def _name(name: Name) -> object:
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


class Place(NamedTuple):
    """A section of the site: title, address from the root, and how the addresses under it begin."""

    title: str
    href: str
    under: str


class NameList(NamedTuple):
    """The names of a language."""

    tag: str
    title: str
    folder: str
    sections: tuple[Section, ...]


class Front(NamedTuple):
    """The data about the site that every page shows; `lang` as in a book."""

    title: str
    lang: str
    notice: str
    as_of: str
    imprint: tuple[str, ...]
    nav: tuple[Place, ...]


class Pages:
    """Builds each page from the record; addresses are relative, so that the site works anywhere."""

    def __init__(self, library: Library, selection: Selection, outline: Outline, as_of: str) -> None:
        self._library = library
        self._selection = selection
        self._outline = outline
        self._as_of = as_of
        self._voice = voice = selection.voice
        words = wording.words_of(voice, about=message("About this glossary"))
        self._templates = template_environment(TEMPLATES, voice, words, library.termbase.working_language)
        self._lists = tuple(
            NameList(tag, voice.language_name(tag), tag.lower(), sections)
            for tag, sections in outline.sections.items()
            if sections
        )
        termbase = library.termbase
        self._site = Front(
            title=termbase.title,
            lang=voice.language,
            notice=termbase.notice,
            as_of=voice.date(as_of),
            imprint=tuple(filter(None, (termbase.rights, termbase.licence))),
            nav=(
                *(
                    Place(each.title, f"names/{each.folder}/index.html", f"names/{each.folder}/")
                    for each in self._lists
                ),
                Place(voice.say(message("By mechanic")), "mechanic.html", "mechanic"),
                Place(voice.say(message("Rules")), "rules.html", "rules"),
                Place(voice.say(message("Sources")), "sources.html", "sources"),
                Place(voice.say(message("About")), "about.html", "about"),
            ),
        )

    def general(self) -> Iterator[tuple[str, str]]:
        """Yield every page that is not an entry's: address and text."""
        outline, library = self._outline, self._library
        codes = chosen_codes(library, self._selection)
        yield self._page("index.html", **self._first_page())
        yield self._page("search.html")
        yield self._page("mechanic.html", index=self._index())
        yield self._page("sources.html", works=works_of(library.sources.values(), self._voice))
        yield self._page("rules.html", codes=code_texts(codes, library.sources, self._voice))
        front = front_matter(
            codes,
            library,
            self._voice,
            self._voice.date(self._as_of),
            drafts=bool(outline.drafts),
            figures=self._selection.figures,
        )
        yield self._page("about.html", front=front)
        for each in self._lists:
            yield from self._names(each)

    def entries(self) -> Iterator[tuple[str, str, tuple[Picture, ...]]]:
        """Yield every entry's page: address, text, and the pictures on it."""
        order = list(self._outline.entries)
        for place, original in enumerate(self._library.articles(order)):
            around = [self._ref(order[n]) if 0 <= n < len(order) else None for n in (place - 1, place + 1)]
            made = self._article(original)
            address = f"entries/{original.entry.id}.html"
            text = self._render(
                "entry.html",
                address,
                art=made,
                groups=self._groups(original, made),
                cautions=_cautions(original, self._voice),
                linked=term_data(made, self._library.termbase),
                before=around[0],
                after=around[1],
            )
            yield address, text, made.pictures

    def notices(self, departed: Iterable[DeletedEntry]) -> Iterator[tuple[str, str]]:
        """Yield a notice at the old address of each removed entry: address and text. No list links to it."""
        say = self._voice.say
        for deleted in departed:
            merged = deleted.target_id
            heading = (
                message("The entry %(id)s was merged with another", id=deleted.id)
                if merged
                else message("The entry %(id)s has been removed", id=deleted.id)
            )
            target = None
            if merged:
                known = merged in self._outline.entries
                target = self._ref(merged) if known else Ref(merged)
            address = f"entries/{deleted.id}.html"
            yield (
                address,
                self._render(
                    "notice.html",
                    address,
                    heading=say(heading),
                    on=say(message("Date: %(date)s", date=self._voice.date(deleted.on)))
                    if deleted.on
                    else "",
                    reason=say(message("Reason: %(reason)s", reason=deleted.reason))
                    if deleted.reason
                    else "",
                    target=target,
                ),
            )

    def _index(self) -> tuple[IndexGroup, ...]:
        return index_of(self._outline.mechanics, self._outline.languages[0], self._voice)

    def _article(self, original: RecordArticle) -> Article:
        """Return the article, with references to anything not on the site turned into plain text."""
        vernaculars = self._outline.languages[1:]
        made = article(original, names_of(original, self._voice), self._library, self._selection, vernaculars)
        relations = tuple(
            msgspec.structs.replace(
                r,
                to=tuple(
                    t if t.to in self._outline.entries else msgspec.structs.replace(t, to="") for t in r.to
                ),
            )
            for r in made.relations
        )
        return msgspec.structs.replace(made, relations=relations)

    def _groups(self, original: RecordArticle, made: Article) -> tuple[Group, ...]:
        """Return the names by language, the language of the headword first."""
        under = self._outline.entries[original.entry.id].under
        if not under:
            return ()
        return (Group(self._voice.language_name(under), (made.head, *made.others)), *made.names)

    def _ref(self, entry_id: str) -> Ref:
        place = self._outline.entries[entry_id]
        return Ref(place.heads.get(place.under, entry_id), wording.primary(place.under), entry_id)

    def _first_page(self) -> dict[str, object]:
        outline = self._outline
        say = self._voice.say
        counted = say(message_of_number("%(n)s entry", "%(n)s entries", len(outline.entries)))
        if outline.drafts:
            marked = "%(n)s of them marked as draft", "%(n)s of them marked as drafts"
            counted += ", " + say(message_of_number(*marked, outline.drafts))
        languages = self._voice.listed([each.title for each in self._lists])
        return {
            "subtitle": ": ".join(filter(None, (languages, narrowed_words(self._selection)))),
            "counted": f"{counted}.",
            "lists": self._lists,
            "caution": self._voice.word(CAUTIONS),
            "nameless": [i for i, place in outline.entries.items() if not place.under],
            "linked": term_set_data(self._library.termbase, outline.languages, self._as_of),
        }

    def _names(self, each: NameList) -> Iterator[tuple[str, str]]:
        is_short = sum(len(s.names) for s in each.sections) <= WHOLE_LIST
        more = {"list": each, "entries": self._outline.entries}
        yield self._page(
            f"names/{each.folder}/index.html", "names.html", heading=each.title, current="",
            shown=each.sections if is_short else (), ranges=() if is_short else each.sections, **more,
        )  # fmt: skip
        for section in each.sections:
            signs = self._voice.say(message("figures and signs"))
            letter = signs if section.letter == "#" else section.letter
            yield self._page(
                f"names/{each.folder}/{section.slug}.html", "names.html", heading=f"{each.title}: {letter}",
                current=section.slug, shown=(section,), ranges=(), **more,
            )  # fmt: skip

    def _page(self, address: str, template: str = "", /, **content: object) -> tuple[str, str]:
        return address, self._render(template or address, address, **content)

    def _render(self, template: str, address: str, /, **content: object) -> str:
        root = "../" * address.count("/")
        return self._templates.get_template(template).render(
            site=self._site, root=root, here=address, **content
        )


def _cautions(original: RecordArticle, voice: Voice) -> tuple[str, ...]:
    """Return the general caution and the entry's own, for anything somebody might try."""
    own = own_cautions(original.entry.topic, original.entry.technique)
    return tuple(map(voice.word, (CAUTIONS, *own))) if own else ()
