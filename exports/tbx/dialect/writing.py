"""Writing a termbase as TBX-Wordhold: the whole record, streamed from the tables."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import fields

from exports.tbx.categories import CORE, ESCAPE, MODULE_NAMESPACE, NAMESPACES, PREFIX
from exports.tbx.dialect.entries import EntryWriter
from exports.tbx.dialect.objects import SECTIONS, Record, Section, write_object
from exports.tbx.loss import FieldLoss, LossReport
from exports.tbx.tags import FIELDS
from exports.tbx.xmltext import Escaper, xml_id, xml_language
from termbase.people import CAUTIONS, Image, Person, Termbase
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source
from termbase.store import Reader
from termbase.store.bulk import collector_at_rest
from termbase.store.whole import EntryBatch, columns_of, entry_batches, last_act, records
from termbase.trials import Trial

__all__ = ["WholeWriter"]

_content = Escaper(keeps=True).text
_RECORD = {
    "entry": "entry", "terms": "term", "definitions": "definition", "relations": "relation",
    "analogues": "analogue", "figures": "figure", "rulings": "ruling", "slips": "slip",
}  # fmt: skip
_EMPTY = {
    "forms": "[]",
    "foreign_notes": "[]",
    "language_reading": '{"by":"","on":"","reopened":{}}',
    "practice_reading": '{"by":"","on":"","reopened":{}}',
    "apart": False,
}
"""What a column holds that says nothing, besides None and empty text."""


class WholeWriter:
    """Writes one file; `report` is complete when the last piece of `render` is out.

    Args:
        reader: the record.
        ids: the entries to write, in this order, with what belongs to them; the whole record if None.
        on_progress: told from time to time how many entries are done.
    """

    title = "TBX-Wordhold, DCT style"

    def __init__(
        self,
        reader: Reader,
        ids: Sequence[str] | None = None,
        on_progress: Callable[[int], None] | None = None,
    ) -> None:
        self.reader = reader
        self.ids = None if ids is None else tuple(dict.fromkeys(ids))
        self._on_progress = on_progress
        self._counts: Counter[str] = Counter()
        self._images: dict[str, None] = {}
        self._done = 0

    def render(self) -> Iterator[str]:
        """The file in pieces, unchecked."""
        termbase = self.reader.termbase()
        yield _header(termbase)
        self._count_record("termbase", termbase)
        body = False
        with collector_at_rest():
            for batch in entry_batches(self.reader, self.ids):
                if not body:
                    body = True
                    writer = self._entry_writer()
                    yield "<body>\n"
                yield writer.render(batch)
                self._count_batch(batch)
        yield "</body>\n<back>\n" if body else "<back>\n"
        for section in SECTIONS.values():
            yield from self._section(section)
        yield "</back>\n</text>\n</tbx>\n"

    def report(self) -> LossReport:
        """What was written, and what was left out."""
        left_out = {
            "termbase.id": 1,
            "termbase.version": 1,
            "history": last_act(self.reader),
        }
        counts = [
            FieldLoss(
                p.path, p.label, self._counts[p.path], 0, left_out.get(p.path, 0), "" if p.tag else p.how
            )
            for p in FIELDS.values()
        ]
        kept = tuple(c for c in counts if c.carried or c.left_out)
        return LossReport(self.title, self._done, self._counts["term.id"], 0, kept)

    def _entry_writer(self) -> EntryWriter:
        labels = {s.id: s.label for s in self.reader.all(Source)}
        people = self.reader.all(Person)
        names = Counter(p.name for p in people)
        pointers = {p.name: xml_id("person", p.id) for p in people if names[p.name] == 1}
        chosen = None if self.ids is None else frozenset(self.ids)
        # A relation always leads to an entry that is there; of a choice, to one that is written.
        return EntryWriter(labels, pointers, chosen.__contains__ if chosen is not None else lambda _: True)

    def _section(self, section: Section) -> Iterator[str]:
        opened = False
        for record in self._records(section):
            if not opened:
                opened = True
                yield f'<refObjectSec type="{section.name}">\n'
            yield write_object(section, record)
            self._count_record(section.kind, record)
        if opened:
            yield "</refObjectSec>\n"

    def _records(self, section: Section) -> Iterable[Record]:
        cls = section.cls
        if cls is Slip:
            return records(self.reader, Slip, term_id=None) if self.ids is None else ()
        if self.ids is None or cls in (Person, Source, RuleCode):
            return records(self.reader, cls)
        if cls is Trial:
            trials = [t for i in self.ids for t in self.reader.all(Trial, entry_id=i)]
            self._images |= dict.fromkeys(i for t in trials for i in t.image_ids)
            return trials
        if cls is Image:
            more = (i for e in self.ids for t in self.reader.all(Trial, entry_id=e) for i in t.image_ids)
            wanted = sorted({*self._images, *more})
            return (image for i in wanted for image in self.reader.many(Image, [i]).values())
        return ()

    def _count_batch(self, batch: EntryBatch) -> None:
        self._done += len(batch.entries)
        for part, rows in batch.all_rows.items():
            if not rows:
                continue
            first = () if part in ("entry", "slips") else ("",)
            names = (*first, *columns_of("slip" if part == "slips" else part))
            for name, column in zip(names, zip(*rows, strict=True), strict=True):
                if name:
                    empty = column.count("") + column.count(None)
                    if name in _EMPTY:
                        empty += column.count(_EMPTY[name])
                    self._counts[f"{_RECORD[part]}.{name}"] += len(column) - empty
            if part in ("figures", "slips") and self.ids is not None:
                place = names.index("image_id")
                self._images |= dict.fromkeys(str(row[place]) for row in rows if row[place])
        if self._on_progress:
            self._on_progress(self._done)

    def _count_record(self, kind: str, record: Record | Termbase) -> None:
        for field in fields(record):
            value = getattr(record, field.name)
            path = f"{kind}.{field.name}"
            if FIELDS[path].tag and value not in ("", None, (), False):
                self._counts[path] += len(value) if isinstance(value, tuple) else 1


def _header(termbase: Termbase) -> str:
    tag = xml_language(termbase.working_language)

    def p(kind: str, *values: str) -> str:
        return "".join(f'<p type="{kind}">{_content(value)}</p>\n' for value in values if value)

    modules = "".join(f' xmlns:{name}="{uri}"' for name, uri in NAMESPACES.items())
    spaces = f'xmlns="{CORE}"{modules} xmlns:{PREFIX}="{MODULE_NAMESPACE}"'
    rights = p("licence", termbase.licence) + p("rights", termbase.rights)
    working = termbase.working_language
    kept = "" if tag == working else f'<p type="workingLanguage">{_content(working)}</p>\n'
    about = p("notice", termbase.notice) + kept + p("vernacular", *termbase.vernaculars)
    said = (
        "ISO 30042:2019, dialect TBX-Wordhold, style DCT: core, modules min and basic, a private module. "
        f"Between two signs {ESCAPE} stands the hexadecimal number of a character that XML cannot hold."
    )
    return "".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>\n',
            f'<tbx {spaces} xml:lang="{tag}" type="TBX-Wordhold" style="dct">\n<tbxHeader>\n<fileDesc>\n',
            f"<publicationStmt>\n{rights}</publicationStmt>\n" if rights else "",
            f"<titleStmt>\n<title>{_content(termbase.title)}</title>\n",
            f'<note xml:lang="en">{_content(CAUTIONS)}</note>\n</titleStmt>\n',
            f"<sourceDesc>\n{about}",
            '<p xml:lang="en">The whole record of a termbase.</p>\n</sourceDesc>\n</fileDesc>\n',
            f'<encodingDesc>\n<p xml:lang="en">{said}</p>\n</encodingDesc>\n</tbxHeader>\n<text>\n',
        )
    )
