"""Reads a TBX file for import: `read_tbx` opens it, `plan` and `import_file` of `termbase.importing` use it.

file = read_tbx(Path("words.tbx"), origin=Origin.WORD_LIST)
with store.read() as reader:
    would_be = plan(reader, file)
with store.act(by, Deed.FILE_TAKEN_IN(file=file.name)) as act:
    imported = import_file(act, file)
for line in file.report().readable(): ...
"""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Final

from lxml import etree

from exports.tbx.elements import local_name, whole_text
from exports.tbx.faults import MOST_SHOWN, PIECES, fault, located, place_of
from exports.tbx.foreign import ForeignFile, is_quotation
from exports.tbx.opening import Frame, Head, open_tbx, pieces
from exports.tbx.reports import ReadReport, Unread
from exports.tbx.standard.breaches import Breaches
from exports.tbx.standard.checking import StandardCheck
from exports.tbx.validating import NotValid, check_file, check_pointers, checked_pieces
from exports.tbx.wordhold import OwnFile
from exports.tbx.xmltext import NameSet, xml_id
from termbase.errors import BadInput
from termbase.importing.records import IncomingEntry, IncomingRecord
from termbase.messages import joined, message
from termbase.record.entries import Origin
from termbase.record.sources import Slip

__all__ = ["TbxFile", "read_tbx"]

MOST_LOOSE: Final = 12
MOST_TEXT: Final = 200
"""Number of characters shown of what was left out."""
_NOT_STRICT: Final = message("Correct the file, or import it without the strict option.")


def read_tbx(
    path: Path,
    *,
    name: str = "",
    origin: Origin = Origin.NOT_STATED,
    keep_loose_targets: bool = False,
    strict: bool = False,
) -> "TbxFile":
    """Open a TBX file: TBX-Wordhold, any other dialect in DCA or DCT style, or a file of 2008.

    Args:
        path: the file.
        name: what to call it in messages; its file name if empty.
        origin: the origin of names in another system's file that state none. It is never guessed: by default
            it is *not stated*.
        keep_loose_targets: whether to accept a file of another system with pointers to missing targets, which
            become notes. A file of our own dialect with such pointers is always refused.
        strict: whether to refuse a file that breaks the standard; if not, the report lists the breaches.

    Raises:
        BadInput: it is not TBX, not XML, or declares entities or its own document type.
        OSError: it cannot be read.
    """
    head = open_tbx(path, name)
    return TbxFile(path, head, origin, keep_loose_targets=keep_loose_targets, strict=strict)


class TbxFile:
    """A file that can be imported (see `termbase.importing.records.IncomingFile`).

    Args:
        path: the file.
        head: the data of its root element.
        origin, keep_loose_targets, strict: see `read_tbx`.

    Attributes:
        head: the data of its root element.
        name: its name, for messages.
        whole: whether it is our own dialect, which is complete.
    """

    def __init__(
        self, path: Path, head: Head, origin: Origin, *, keep_loose_targets: bool, strict: bool
    ) -> None:
        self.path, self.head, self.origin, self.strict = path, head, origin, strict
        self.keep_loose_targets = keep_loose_targets and not head.is_own
        self.name, self.whole = head.name, head.is_own
        self._reset()

    @property
    def needs_origin(self) -> bool:
        """Return whether an origin can be given for its names, since it is a file of another system."""
        return not self.whole

    def check_ready(self) -> None:
        """See `termbase.importing.records.IncomingFile`; a TBX file can always be imported."""

    def early(self, known: Callable[[str], bool]) -> Iterator[IncomingRecord | IncomingEntry | str]:
        """See `termbase.importing.records.IncomingFile`."""
        self._reset()
        if self.strict and self.whole:
            self._check_strictly()
        loose: dict[str, None] | None = {} if self.keep_loose_targets else None
        standard = StandardCheck(self.head)
        frame: Frame = _NothingAround()
        if not self.whole:
            self.breaches, frame = standard.breaches, _CheckedAround(standard, self._left_out)
        for number, element in enumerate(checked_pieces(self.path, self.head, self.ids, loose, frame), 1):
            if not self.whole:
                standard.piece(element)
            try:
                yield from self._pieces.first(element, known, self._left_out)
            except BadInput as error:
                raise self._named(error, number) from error
        if self.strict and not self.whole:
            self._check_breaches()
        if loose:
            self._left_out.noted[_loose_notice(list(loose))] = None
        if isinstance(self._pieces, ForeignFile):
            yield from self._pieces.background(self._left_out)

    def later(self) -> Iterator[IncomingEntry | IncomingRecord]:
        """See `termbase.importing.records.IncomingFile`."""
        self._begin_count()
        rest: list[IncomingRecord] = []
        for number, element in enumerate(pieces(self.path, self.head), 1):
            try:
                for record in self._pieces.second(element, self.unread):
                    if isinstance(record, IncomingEntry):
                        yield self._counted(record)
                    elif self.whole:
                        yield record
                    else:
                        rest.append(record)
            except BadInput as error:
                raise self._named(error, number) from error
        self.quotations += sum(1 for r in rest if isinstance(r.record, Slip) and is_quotation(r.record))
        yield from rest
        if isinstance(self._pieces, OwnFile):
            check_pointers(self._pieces.images, self.path, self.head, self.ids)

    def highest(self, letter: str) -> int:
        """See `termbase.importing.records.IncomingFile`."""
        return self.ids.highest(letter)

    def has_entry(self, file_id: str) -> bool:
        """See `termbase.importing.records.IncomingFile`."""
        if isinstance(self._pieces, ForeignFile):
            return self._pieces.has_entry(file_id)
        return xml_id("entry", file_id) in self.ids

    def report(self) -> ReadReport:
        """Return the report of the file, once it has been read completely."""
        return ReadReport(
            name=self.name, dialect=self.head.dialect, style=self.head.style, legacy=self.head.legacy,
            doctype=self.head.doctype, entries=self.entries, terms=self.terms, quotations=self.quotations,
            languages=dict(sorted(self.languages.items())), kept=dict(self.unread.kept.most_common()),
            dropped=dict(self.unread.dropped.most_common()), noted=tuple(self.unread.noted),
            standard=self.breaches, placed=dict(self.unread.placed),
            in_words=dict(self.unread.in_words.most_common()),
        )  # fmt: skip

    def _reset(self) -> None:
        self.ids, self.breaches = NameSet(), Breaches()
        self._pieces: OwnFile | ForeignFile = (
            OwnFile(self.head) if self.whole else ForeignFile(self.head, self.origin, self.ids)
        )
        self._left_out = Unread()  # in the first pass
        self._begin_count()

    def _begin_count(self) -> None:
        self.unread = Unread()
        self.unread.add(self._left_out)
        self.entries = self.terms = self.quotations = 0
        self.languages: dict[str, int] = {}

    def _counted(self, entry: IncomingEntry) -> IncomingEntry:
        self.entries += 1
        self.terms += len(entry.entry.terms)
        self.quotations += len(entry.slips)
        for term in entry.entry.terms:
            self.languages[term.language] = self.languages.get(term.language, 0) + 1
        return entry

    def _named(self, error: BadInput, piece: int) -> BadInput:
        """Return an error with the name of the file and its true line."""
        located_error = located(error, self.path, PIECES, piece)
        where = joined((self.name, located_error.where), ", ")
        return BadInput(located_error.what, where=where, fix=located_error.fix)

    def _check_strictly(self) -> None:
        """Raise an error if a file of ours breaks the standard."""
        try:
            check_file(self.path, "wordhold", older=self.head.older is not None)
        except NotValid as error:
            where = joined((self.name, error.where), ", ")
            raise BadInput(error.what, where=where, fix=_NOT_STRICT) from error

    def _check_breaches(self) -> None:
        """Raise an error if a file of another system breaks the standard."""
        if self.breaches.number or self.breaches.unchecked:
            lines = self.breaches.readable()
            raise BadInput(joined(lines[1:] if len(lines) > 1 else lines), where=self.name, fix=_NOT_STRICT)


class _NothingAround:
    """Makes sure that one of our own files has nothing around its pieces."""

    def frame(self, element: etree._Element, /) -> None:
        """Accept the element."""

    def stray(self, parent: etree._Element, child: etree._Element | None, text: str, /) -> None:
        """Raise an error."""
        raise fault(message("It is not allowed here."), child if child is not None else parent)


class _CheckedAround:
    """Checks what is around the pieces of another system's file, and reports what is left out.

    Args:
        standard: receives the breaches.
        unread: receives what is left out.
    """

    def __init__(self, standard: StandardCheck, unread: Unread) -> None:
        self._standard, self._unread = standard, unread

    def frame(self, element: etree._Element, /) -> None:
        """Check the element."""
        self._standard.frame(element)

    def stray(self, parent: etree._Element, child: etree._Element | None, text: str, /) -> None:
        """Count what is left out, and report its place and text."""
        if child is None:
            self._standard.text(parent, text)
        around = local_name(parent)
        name = message("text") if child is None else local_name(child)
        shown = " ".join((text if child is None else whole_text(child)).split())
        self._unread.dropped[message("%(name)s in %(around)s", name=name, around=around)] += 1
        self._unread.noted[
            message(
                "%(place)s: it belongs to no entry and was left out: “%(text)s”.",
                place=joined((place_of(parent if child is None else child), name), ", "),
                text=shown if len(shown) <= MOST_TEXT else f"{shown[:MOST_TEXT]}…",
            )
        ] = None


def _loose_notice(names: list[str]) -> str:
    shown = ", ".join(f"“{name[:MOST_SHOWN]}”" for name in names[:MOST_LOOSE])
    if len(names) <= MOST_LOOSE:
        return message(
            "Pointers to targets that are not in the file were kept as notes: %(names)s.", names=shown
        )
    return message(
        "Pointers to targets that are not in the file were kept as notes: %(names)s and %(number)s more.",
        names=shown,
        number=len(names) - MOST_LOOSE,
    )
