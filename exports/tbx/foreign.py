"""Files that other systems wrote: DCA and DCT style, any dialect, and files of 2008.

A data category is known by its name, whichever element or namespace carries it. Nothing is guessed: a value
that is not in our lists stays a word in a note; where the names come from, and what a quotation does with
them, is not in such a file at all and stays *not stated*, unless its header bears our mark.
"""

from collections.abc import Callable, Iterator
from typing import Final

from exports.tbx.background import Background
from exports.tbx.concepts import read_concept
from exports.tbx.elements import (
    ENTRIES,
    GROUPS,
    HEADERS,
    Element,
    category,
    is_named,
    line_text,
    local_name,
    own_text,
    parent_of,
    source_in,
    target_of,
)
from exports.tbx.frame import LANGUAGES, MARK
from exports.tbx.markup import DIALECTS
from exports.tbx.nameset import NameSet
from exports.tbx.opening import Head
from exports.tbx.reports import Unread
from termbase.entries import Origin
from termbase.incoming import IncomingEntry, IncomingRecord
from termbase.messages import message

__all__ = ["ForeignReader"]

_FORMER: Final = frozenset(f"ISO 30042:2019, {d.title}" for d in DIALECTS.values() if d.type == "TBX-Basic")
"""What the header of our exports said before it bore our mark, together with the languages."""


class ForeignReader:
    """Reads one file in two ways through: first what is in it, then its entries.

    Args:
        head: what its root says.
        origin: where its names come from that do not say so.
        ids: all ids of the file, once it was read through the first time.
    """

    def __init__(self, head: Head, origin: Origin, ids: NameSet | None = None) -> None:
        self.head = head
        self.origin = origin
        self.unread = Unread()
        self.background_of = Background(head.name)
        self.entry_ids: set[str] = set()
        self.ids = NameSet() if ids is None else ids
        self.ours = False
        self._known: Callable[[str], bool] = lambda _: False
        self._numbers = [0, 0]

    def known(self, entry_id: str, /) -> bool:
        """Whether an entry of this id is here."""
        return self._known(entry_id)

    def first(self, element: Element, known: Callable[[str], bool]) -> Iterator[IncomingEntry | str]:
        """First way: a piece of the file; gives the id of an entry, or all of it if the id is known here."""
        self._known = known
        name = local_name(element)
        if name in HEADERS:
            self._header(element)
        elif name == "refObject":
            self.background_of.take_object(element)
        elif name in ENTRIES:
            entry_id = self._entry_id(element, 0)
            self._cite_sources(element)
            if not is_named(element):
                self.background_of.cite_file()
                return
            self.entry_ids.add(entry_id)
            if known(entry_id):
                found = read_concept(self, Unread(), element, entry_id)
                if isinstance(found, IncomingEntry):
                    yield found
            else:
                yield entry_id

    def background(self) -> Iterator[IncomingRecord]:
        """After the first way: people and sources."""
        yield from self.background_of.records(self.unread)

    def for_second_way(self, unread: Unread) -> "ForeignReader":
        """Itself, from the beginning of the file again, with what counts what is not understood."""
        self.unread = unread
        self._numbers[1] = 0
        return self

    def second(self, element: Element) -> IncomingEntry | tuple[IncomingRecord, ...]:
        """Second way: the entry of a piece, or the slips that a concept without a term becomes; nothing for
        other pieces."""
        if local_name(element) not in ENTRIES:
            return ()
        return read_concept(self, self.unread, element, self._entry_id(element, 1))

    def _entry_id(self, element: Element, way: int) -> str:
        self._numbers[way] += 1
        return element.get("id") or f"entry {self._numbers[way]}"  # which no XML name can be

    def _header(self, header: Element) -> None:
        said = {line_text(element) for element in header.iter() if local_name(element) == "p"}
        former = not _FORMER.isdisjoint(said) and any(text.startswith(LANGUAGES) for text in said)
        self.ours = self.background_of.ours = MARK in said or former
        for element in header.iter():
            name, text = local_name(element), line_text(element)
            if name == "title" and not self.background_of.title:
                self.background_of.title = text
            elif name == "p" and self.ours and (text in (MARK, *_FORMER) or text.startswith(LANGUAGES)):
                continue
            elif own_text(element):
                self.unread.dropped[message("header %(name)s", name=name)] += 1

    def _cite_sources(self, entry: Element) -> None:
        """Take note of the sources of quotations and definitions, as `concept` will look for them."""
        for element in entry.iter():
            name = category(element)
            if name not in ("context", "definition"):
                continue
            group = parent_of(element)
            inside = group is not None and local_name(group) in GROUPS
            found = source_in(group) if inside and group is not None else None
            if found is not None and (target_of(found) or line_text(found)):
                self.background_of.cite(target_of(found), line_text(found))
            elif name == "context":
                self.background_of.cite_file()
