"""A TBX file to be taken in: `read_tbx` opens it, `plan` and `take_in` of `termbase.incoming` use it.

file = read_tbx(Path("words.tbx"), origin=Origin.WORD_LIST)
with store.read() as reader:
    would_be = plan(reader, file)
with store.act(by, Deed.FILE_TAKEN_IN(file=file.name)) as act:
    taken = take_in(act, file)
for line in file.report().readable(): ...
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from lxml import etree

from exports.tbx.categories import CORE
from exports.tbx.dialect.objects import SECTIONS, BadItem, read_object
from exports.tbx.dialect.reading import read_entry
from exports.tbx.elements import local_name, whole_text
from exports.tbx.faults import MOST_SHOWN, PIECES, fault, located, place_of
from exports.tbx.foreign import ForeignReader
from exports.tbx.nameset import NameSet, Targets
from exports.tbx.opening import Head, open_tbx, pieces
from exports.tbx.pointers import check_pointers, checked_pieces
from exports.tbx.quotations import is_quotation
from exports.tbx.reports import ReadReport, Unread
from exports.tbx.standard import Breaches, StandardCheck
from exports.tbx.validating import NotValid, check_file
from exports.tbx.xmltext import kept, record_id, xml_id
from termbase.entries import Origin
from termbase.errors import BadInput
from termbase.incoming import IncomingEntry, IncomingRecord
from termbase.limits import check_lengths
from termbase.messages import joined, message
from termbase.people import Termbase
from termbase.sources import Slip

__all__ = ["TbxFile", "read_tbx"]

_C: Final = f"{{{CORE}}}"
MOST_LOOSE: Final = 12
MOST_SAID: Final = 200
"""Characters that are told of what was left out."""


def read_tbx(
    path: Path,
    *,
    name: str = "",
    origin: Origin = Origin.NOT_STATED,
    keep_loose_targets: bool = False,
    strict: bool = False,
) -> "TbxFile":
    """Open a TBX file: TBX-Wordhold, any other dialect in DCA or DCT style, or one of 2008.

    Args:
        path: the file.
        name: what to call it in messages; its file name if empty.
        origin: where the names of a file of another system come from that do not say so. It is never
            guessed: without it that is not stated.
        keep_loose_targets: take a file of another system although it points at what is not in it; such
            pointers become notes. A file of our own dialect with one is always refused.
        strict: refuse a file that breaks the standard; else the report says where it does.

    Raises:
        BadInput: it is no TBX, no XML, or declares entities or a document type of its own.
        OSError: it cannot be read.
    """
    head = open_tbx(path, name)
    if head.is_own:
        return WordholdFile(path, head, strict=strict)
    return ForeignFile(path, head, origin, keep_loose_targets=keep_loose_targets, strict=strict)


class TbxFile:
    """A file that can be taken in (see `termbase.incoming.IncomingFile`).

    Attributes:
        head: what its root says.
        name: its name, for messages.
        whole: whether it is our own dialect, which says all.
    """

    whole = False

    def __init__(self, path: Path, head: Head, *, strict: bool = False) -> None:
        self.path = path
        self.head = head
        self.strict = strict
        self.breaches = Breaches()
        self.name = head.name
        self.ids = NameSet()
        self.unread = Unread()
        self.entries = self.terms = self.quotations = 0
        self.languages: dict[str, int] = {}

    @property
    def needs_origin(self) -> bool:
        """Whether it can be said where its names come from: it is a file of another system."""
        return False

    def check_ready(self) -> None:
        """See `termbase.incoming.IncomingFile`; a TBX file can always be taken in."""

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """See `termbase.incoming.IncomingFile`."""
        raise NotImplementedError

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """See `termbase.incoming.IncomingFile`."""
        raise NotImplementedError

    def highest(self, letter: str) -> int:
        """See `termbase.incoming.IncomingFile`."""
        return self.ids.highest(letter)

    def has_entry(self, file_id: str) -> bool:
        """See `termbase.incoming.IncomingFile`."""
        raise NotImplementedError

    def report(self) -> ReadReport:
        """What was found in it, once it was read through."""
        return ReadReport(
            name=self.name, dialect=self.head.dialect, style=self.head.style, legacy=self.head.legacy,
            doctype=self.head.doctype, entries=self.entries, terms=self.terms, quotations=self.quotations,
            languages=dict(sorted(self.languages.items())), kept=dict(self.unread.kept.most_common()),
            dropped=dict(self.unread.dropped.most_common()), noted=tuple(self.unread.noted),
            standard=self.breaches, placed=dict(self.unread.placed),
            in_words=dict(self.unread.in_words.most_common()),
        )  # fmt: skip

    def _counted(self, entry: IncomingEntry) -> IncomingEntry:
        self.entries += 1
        self.terms += len(entry.entry.terms)
        self.quotations += len(entry.slips)
        for term in entry.entry.terms:
            self.languages[term.language] = self.languages.get(term.language, 0) + 1
        return entry

    def _begin(self) -> None:
        self.unread = Unread()
        self.entries = self.terms = self.quotations = 0
        self.languages = {}

    def _named(self, error: BadInput, piece: int) -> BadInput:
        """An error with the name of the file and its true line."""
        found = located(error, self.path, PIECES, piece)
        where = joined((self.name, found.where), ", ")
        return BadInput(found.what, where=where, mend=found.mend)


class WordholdFile(TbxFile):
    """A file of our own dialect."""

    whole = True

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """See `termbase.incoming.IncomingFile`."""
        if self.strict:
            self._check_strictly()
        self.ids = NameSet()
        frame = _Bare()
        for number, element in enumerate(checked_pieces(self.path, self.head, self.ids, frame=frame), 1):
            name = element.tag.rpartition("}")[2]
            if name == "conceptEntry":
                file_id = record_id("entry", element.get("id") or "")
                yield self._entry(element, Unread(), number) if known(file_id) else file_id
            elif name == "tbxHeader":
                yield IncomingRecord("termbase", _termbase(element, self.head), place_of(element))
            else:
                yield from self._object(element, number, early=True)

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """See `termbase.incoming.IncomingFile`."""
        self._begin()
        images = Targets()
        for number, element in enumerate(pieces(self.path, self.head), 1):
            name = element.tag.rpartition("}")[2]
            if name == "conceptEntry":
                entry = self._counted(self._entry(element, self.unread, number))
                images.add_all([xml_id("image", s.image_id) for s in entry.slips if s.image_id])
                yield entry
            elif name == "refObject":
                yield from self._object(element, number, early=False)
        check_pointers(images, self.path, self.head, self.ids)

    def has_entry(self, file_id: str) -> bool:
        """See `termbase.incoming.IncomingFile`."""
        return xml_id("entry", file_id) in self.ids

    def _check_strictly(self) -> None:
        try:
            check_file(self.path, "wordhold")
        except NotValid as error:
            raise BadInput(
                error.what,
                where=joined((self.name, error.where), ", "),
                mend=message("Correct the file, or read it without being strict."),
            ) from error

    def _entry(self, element: etree._Element, unread: Unread, number: int) -> IncomingEntry:
        try:
            entry, slips = read_entry(element, unread, self.name)
            _check_lengths(element, entry, *slips)
        except BadInput as error:
            raise self._named(error, number) from error
        return IncomingEntry(entry, slips, place_of(element))

    def _object(self, element: etree._Element, number: int, *, early: bool) -> Iterator[IncomingRecord]:
        parent = element.getparent()
        kind = "" if parent is None else parent.get("type") or ""
        section = SECTIONS.get(kind)
        if section is None:
            if not early:
                self.unread.dropped[message("back matter %(type)s", type=kind)] += 1
            return
        if section.early is not early:
            return
        items = [(item.get("type") or "", kept(whole_text(item))) for item in element]
        try:
            record = read_object(section, record_id(section.kind, element.get("id") or ""), items)
        except BadItem as error:
            bad = next((i for i in element if i.get("type") == error.item), element)
            raise self._named(fault(error.what, bad, error.item), number) from error
        try:
            _check_lengths(element, record)
        except BadInput as error:
            raise self._named(error, number) from error
        yield IncomingRecord(section.kind, record, place_of(element))


class ForeignFile(TbxFile):
    """A file of another dialect."""

    def __init__(
        self, path: Path, head: Head, origin: Origin, *, keep_loose_targets: bool, strict: bool = False
    ) -> None:
        super().__init__(path, head, strict=strict)
        self.origin = origin
        self.keep_loose_targets = keep_loose_targets
        self._reader = ForeignReader(head, origin)

    @property
    def needs_origin(self) -> bool:
        """It is a file of another system."""
        return True

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """See `termbase.incoming.IncomingFile`."""
        self.ids = NameSet()
        self._reader = reader = ForeignReader(self.head, self.origin, self.ids)
        loose: dict[str, None] | None = {} if self.keep_loose_targets else None
        standard = StandardCheck(self.head)
        self.breaches, frame = standard.breaches, _Watched(standard, reader.unread)
        for number, element in enumerate(checked_pieces(self.path, self.head, self.ids, loose, frame), 1):
            standard.piece(element)
            try:
                yield from reader.first(element, known)
            except BadInput as error:
                raise self._named(error, number) from error
        if self.strict:
            self._check_strictly()
        if loose:
            reader.unread.noted[_told_loose(list(loose))] = None
        yield from reader.background()

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """See `termbase.incoming.IncomingFile`."""
        self._begin()
        self.unread.add(self._reader.unread)
        reader = self._reader.for_second_way(self.unread)
        nameless: list[IncomingRecord] = []
        for number, element in enumerate(pieces(self.path, self.head), 1):
            try:
                found = reader.second(element)
            except BadInput as error:
                raise self._named(error, number) from error
            if isinstance(found, IncomingEntry):
                yield self._counted(found)
            else:
                nameless += found
        self.quotations += sum(1 for n in nameless if isinstance(n.record, Slip) and is_quotation(n.record))
        yield from nameless

    def has_entry(self, file_id: str) -> bool:
        """See `termbase.incoming.IncomingFile`."""
        return file_id in self._reader.entry_ids

    def _check_strictly(self) -> None:
        if not (self.breaches.number or self.breaches.unchecked):
            return
        told = self.breaches.readable()
        raise BadInput(
            joined(told[1:] if len(told) > 1 else told),
            where=self.name,
            mend=message("Correct the file, or read it without being strict."),
        )


class _Bare:
    """Sees to it that nothing stands round the pieces of a file of our own."""

    def frame(self, element: etree._Element, /) -> None:
        """Nothing to be seen to."""

    def stray(self, parent: etree._Element, child: etree._Element | None, text: str, /) -> None:
        """Refuse it."""
        raise fault(message("It may not stand here."), child if child is not None else parent)


class _Watched:
    """Holds what stands round the pieces of a file of another system against the standard; what no field
    could take is told, not passed over.

    Args:
        standard: takes the breaches.
        unread: takes what is left out.
    """

    def __init__(self, standard: StandardCheck, unread: Unread) -> None:
        self._standard, self._unread = standard, unread

    def frame(self, element: etree._Element, /) -> None:
        """Check the element."""
        self._standard.frame(element)

    def stray(self, parent: etree._Element, child: etree._Element | None, text: str, /) -> None:
        """Count what is left out, and say where it stood and what it says."""
        if child is None:
            self._standard.text(parent, text)
        around = local_name(parent)
        name = message("text") if child is None else local_name(child)
        said = " ".join((text if child is None else whole_text(child)).split())
        self._unread.dropped[message("%(name)s in %(around)s", name=name, around=around)] += 1
        self._unread.noted[
            message(
                "%(place)s: it belongs to no entry and was left out: “%(text)s”.",
                place=joined((place_of(parent if child is None else child), name), ", "),
                text=said if len(said) <= MOST_SAID else f"{said[:MOST_SAID]}…",
            )
        ] = None


def _check_lengths(element: etree._Element, *records: object) -> None:
    """Refuse records with texts that are too long, with the line of the element that they stand in."""
    for record in records:
        try:
            check_lengths(record)
        except BadInput as error:
            raise fault(error.what, element, error.where, mend=error.mend) from error


def _told_loose(names: list[str]) -> str:
    shown = ", ".join(f"“{name[:MOST_SHOWN]}”" for name in names[:MOST_LOOSE])
    if len(names) <= MOST_LOOSE:
        return message("Pointers to what is not in the file were kept as notes: %(names)s.", names=shown)
    return message(
        "Pointers to what is not in the file were kept as notes: %(names)s and %(number)s more.",
        names=shown,
        number=len(names) - MOST_LOOSE,
    )


def _termbase(header: etree._Element, head: Head) -> Termbase:
    title = header.find(f".//{_C}title")
    by_type: dict[str, list[str]] = {}
    for paragraph in header.iter(f"{_C}p"):
        by_type.setdefault(paragraph.get("type") or "", []).append(kept(whole_text(paragraph)))

    def first(kind: str) -> str:
        return next(iter(by_type.get(kind, ())), "")

    return Termbase(
        title="" if title is None else kept(whole_text(title)),
        working_language=first("workingLanguage") if "workingLanguage" in by_type else head.language,
        vernaculars=tuple(by_type.get("vernacular", ())),
        licence=first("licence"),
        rights=first("rights"),
        notice=first("notice"),
    )
