"""Reading the demo's folder into records, checking every reference, and creating a termbase from them."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import fields, replace
from datetime import UTC, datetime
from hashlib import sha256
from importlib.resources import files
from importlib.resources.abc import Traversable
from io import BytesIO
from itertools import count
from typing import TypeVar

import PIL.Image

from termbase.codes.deeds import Deed
from termbase.demo import rows
from termbase.demo.files import file_text, headword_slips, lines_of, named, read_headed, read_rows, read_table
from termbase.demo.rows import Demo, Report
from termbase.errors import BadInput, ReportedAt
from termbase.messages import message
from termbase.overviews.progress import is_unnamed
from termbase.record import validation
from termbase.record.entries import Entry, Figure
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source, SourceKind
from termbase.rules.clauses import RuleCode
from termbase.rules.files import read_codes, read_profiles
from termbase.store.engine import Store
from termbase.store.rows import Kept
from termbase.store.writing import Act
from termbase.technique.profile import Profile, Stated

__all__ = ["fill", "fill_empty", "load"]


T = TypeVar("T")


MADE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
"""The fixed creation time of the demo, so that its exports are always the same."""
EDITOR = "Elin Maesgwyn"
"""The researcher of the demo, as named in its people.toml."""


def load(root: Traversable | None = None) -> Demo:
    """Return the demo, from this package's files or from another folder with the same layout.

    Raises:
        BadInput: a file is missing or invalid, or refers to something that does not exist; the error names
            file and field.
    """
    root = files("termbase.demo") if root is None else root
    termbase = _validated(
        validation.clean_termbase, read_table(root, "termbase.toml", Termbase), "termbase.toml"
    )
    people = tuple(
        _validated(validation.clean_person, person, "people.toml")
        for person in read_rows(root, "people.toml", "person", Person)
    )
    sources = _sources(root)
    codes = read_codes(file_text(root, "rulecodes.toml"), "rulecodes.toml")
    images: dict[str, Image] = {}
    entries = _entries(root, images)
    reports = _reports(root)
    slips = _slips(root, entries, reports)
    pages, lines = _pages(root, {s.id: s for s in sources}, images)
    trials = tuple(
        _validated(validation.clean_trial, row.record(), f"trials.toml, trial {row.id}")
        for row in read_rows(root, "trials.toml", "trial", rows.TrialRow)
    )
    demo = Demo(termbase, people, (), sources, codes, entries, slips, pages, lines, trials, reports)
    _check_ids(demo)
    _check_references(demo)
    quoted = headword_slips(
        lines, {p.id: p for p in pages}, {e.id: e for e in entries}, 1 + max(int(s.id[1:]) for s in slips)
    )
    return replace(demo, slips=(*slips, *quoted), images=tuple({i.id: i for i in images.values()}.values()))


def _validated(clean: Callable[[T], T], record: T, where: str) -> T:
    """Return the record as it may be stored; errors name its file."""
    with ReportedAt(lambda error: f"{where}, field {error.where}"):
        return clean(record)


def _sources(root: Traversable) -> tuple[Source, ...]:
    pattern = file_text(root, "wordlist-pattern.toml")
    result = [
        _validated(validation.clean_source, source, f"sources.toml, source {source.id}")
        for source in read_rows(root, "sources.toml", "source", Source)
    ]
    return tuple(replace(s, pattern=pattern) if s.kind is SourceKind.WORD_LIST else s for s in result)


def _entries(root: Traversable, images: dict[str, Image]) -> tuple[Entry, ...]:
    rows_by_path = [
        (path, row)
        for path in named(root, "entries", ".toml")
        for row in read_rows(root, path, "entry", rows.EntryRow)
    ]
    profiles = {p.id: p.profile for p in read_profiles(file_text(root, "techniques.toml"), "techniques.toml")}
    unknown = sorted(profiles.keys() - {row.id for _, row in rows_by_path})
    if unknown:
        raise _unknown("entry", unknown[0], "techniques.toml, field id")
    numbers = count(1)
    entries: list[Entry] = []
    for path, row in sorted(rows_by_path, key=lambda pair: pair[1].id):
        terms = [
            term.record(f"t{next(numbers)}", tag)
            for tag, term_rows in (("en", row.en), ("cy", row.cy))
            for term in term_rows
        ]
        figures = tuple(
            Figure(
                _image(root, f"pages/{f.file}", images),
                f.caption,
                maker=f.maker,
                rights=f.rights,
                source_id=f.source,
            )
            for f in row.figure
        )
        entry = replace(row.record(tuple(terms)), technique=profiles.get(row.id), figures=figures)
        entries.append(_validated(validation.clean_entry, entry, f"{path}, entry {row.id}"))
    return tuple(entries)


def _image(root: Traversable, path: str, images: dict[str, Image]) -> str:
    """Return the id of the picture in a file, and add the picture to `images`."""
    if path not in images:
        try:
            data = root.joinpath(path).read_bytes()
        except FileNotFoundError as error:
            raise BadInput(
                "The picture is not there.", where=path, fix="Draw it with pictures.py."
            ) from error
        with PIL.Image.open(BytesIO(data)) as picture:
            width, height = picture.size
        images[path] = Image(sha256(data).hexdigest()[:16], "image/webp", width, height, data)
    return images[path].id


def _reports(root: Traversable) -> tuple[Report, ...]:
    result: list[Report] = []
    for path in named(root, "reports", ".txt"):
        headed = read_headed(root, path)
        allowed = {"source", "date", "title", "page", "column"}
        wrong = sorted((set(headed.fields) - allowed) | ({"source", "date", "title"} - set(headed.fields)))
        if wrong:
            raise BadInput(
                "The field is missing, or not one of a report's.", where=f"{path}, field {wrong[0]}",
                fix="The fields are source, date, title, page and column.",
            )  # fmt: skip
        values = {("source_id" if name == "source" else name): v for name, v in headed.fields.items()}
        name = path.rpartition("/")[2].removesuffix(".txt")
        result.append(
            Report(
                name=name, text=headed.text, **{**values, "date": validation.clean_date(values["date"], path)}
            )
        )
    return tuple(result)


def _slips(root: Traversable, entries: Iterable[Entry], reports: Iterable[Report]) -> tuple[Slip, ...]:
    terms = {f"{e.id} {t.text}": t.id for e in reversed(tuple(entries)) for t in reversed(e.terms)}
    texts = {(r.source_id, r.date): " ".join(r.text.split()) for r in reports}
    result: list[Slip] = []
    for path in named(root, "slips", ".toml"):
        for row in read_rows(root, path, "slip", rows.SlipRow):
            where = f"{path}, slip {row.id}"
            if row.bears and row.bears not in terms:
                raise _unknown("entry and term", row.bears, f"{where}, field bears")
            text = texts.get((row.source, row.date), row.text)
            if row.text not in text:
                raise BadInput(
                    "The report of that day does not say so.", where=f"{where}, field text",
                    fix="Quote it word for word.",
                )  # fmt: skip
            result.append(_validated(validation.clean_slip, row.record(terms.get(row.bears, "")), where))
    return tuple(sorted(result, key=lambda slip: int(slip.id[1:])))


def _pages(
    root: Traversable, sources: Mapping[str, Source], images: dict[str, Image]
) -> tuple[tuple[Page, ...], tuple[Line, ...]]:
    pages: list[Page] = []
    lines: list[Line] = []
    line_ids = (f"l{number}" for number in count(1))
    for number, path in enumerate(named(root, "pages", ".toml"), 1):
        row = read_table(root, path, rows.PageRow)
        if row.source not in sources:
            raise _unknown("source", row.source, f"{path}, field source")
        image_id = _image(root, f"pages/{row.image}", images)
        page = Page(
            f"w{number}", row.source, row.number, file_text(root, f"pages/{row.text}"), image_id=image_id
        )
        pages.append(page)
        lines.extend(lines_of(page, sources[row.source], row.lines, line_ids))
    return tuple(pages), tuple(lines)


def _unknown(kind: str, name: str, where: str) -> BadInput:
    return BadInput(f"There is no {kind} “{name}”.", where=where, fix="Name one that is there.")


def _check_ids(demo: Demo) -> None:
    groups = (demo.people, demo.sources, demo.codes, demo.entries, demo.slips, demo.trials)
    for name, number in Counter(record.id for group in groups for record in group).items():
        if number > 1:
            raise BadInput(f"The id {name} is given {number} times.", where=name, fix="Give each its own id.")


def _check_references(demo: Demo) -> None:
    ids: dict[str, Collection[str]] = {
        "entry": {e.id for e in demo.entries},
        "source": {s.id for s in demo.sources},
        "slip": {s.id for s in demo.slips},
        "trial": {t.id for t in demo.trials},
        "code": {c.id for c in demo.codes},
    }
    for kind, name, where in _references(demo):
        if name and name not in ids[kind]:
            raise _unknown(kind, name, where)


def _references(demo: Demo) -> Iterator[tuple[str, str, str]]:
    """Yield every reference to a record: its kind, its id, and where it is."""
    for entry in demo.entries:
        yield from _references_of_entry(entry)
    for slip in demo.slips:
        yield "source", slip.source_id, f"slip {slip.id}, field source"
        yield "slip", slip.joined_to, f"slip {slip.id}, field joined_to"
    for trial in demo.trials:
        yield "entry", trial.entry_id, f"trials.toml, trial {trial.id}, field entry"
        yield "code", trial.code_id, f"trials.toml, trial {trial.id}, field code"
    for line in demo.lines:
        for entry_id in line.entry_ids:
            yield "entry", entry_id, f"pages, line {line.first}"
    for report in demo.reports:
        yield "source", report.source_id, f"reports/{report.name}.txt, field source"
    for code in demo.codes:
        yield from _references_of_code(code)


def _references_of_entry(entry: Entry) -> Iterator[tuple[str, str, str]]:
    where = f"entry {entry.id}, field"
    for relation in entry.relations:
        yield "entry", relation.target_id, f"{where} {relation.kind}"
    for definition in entry.definitions:
        yield "source", definition.source_id, f"{where} definition_source"
    for analogue in entry.analogues:
        yield "source", analogue.source_id, f"{where} analogue"
    for figure in entry.figures:
        yield "source", figure.source_id, f"{where} figure"
    for ruling in entry.rulings:
        yield "code", ruling.code_id, f"{where} ruling"
    if entry.technique is not None:
        for statement in _statements(entry.technique):
            if statement.basis in ("slip", "trial"):
                yield statement.basis, statement.ref, f"techniques.toml, technique {entry.id}, ref"


def _references_of_code(code: RuleCode) -> Iterator[tuple[str, str, str]]:
    for source_id in code.sources:
        yield "source", source_id, f"rulecodes.toml, code {code.id}, field sources"
    for clause in code.clauses:
        for source_id in clause.sources:
            yield "source", source_id, f"rulecodes.toml, code {code.id}, clause {clause.id}"


def _statements(profile: Profile) -> Iterator[Stated[object]]:
    """Yield every statement of a profile."""
    for holder in (profile, profile.right, profile.left):
        for field in fields(holder):
            value = getattr(holder, field.name)
            if isinstance(value, Stated):
                yield value


def _now() -> datetime:
    return datetime.now(UTC)


def fill(place: str, demo: Demo, clock: Callable[[], datetime] = _now) -> Store:
    """Create the demo at a path or database URL, in acts as a team would have made them; return it open.

    Raises:
        BadInput: the place is not empty.
    """
    store = Store.create(place, demo.termbase, by=EDITOR, clock=lambda: MADE)
    _store_records(store, demo, demo.people)
    store.clock = clock
    return store


def fill_empty(store: Store, demo: Demo) -> None:
    """Load the demo into an empty termbase, which gets its title and notice. Existing people stay.

    Raises:
        BadInput: the termbase is not empty.
    """
    with store.act(EDITOR, Deed.DEMO_MADE()) as act:
        if not is_unnamed(act):
            raise BadInput(
                message("This termbase already has a title or records."),
                where="demo",
                fix=message("Create the demo in another place: wordhold demo"),
            )
        act.put(replace(demo.termbase, version=act.termbase().version))
        existing = {person.id for person in act.all(Person)}
    _store_records(store, demo, tuple(person for person in demo.people if person.id not in existing))


def _store_records(store: Store, demo: Demo, people: tuple[Person, ...]) -> None:
    with store.act(EDITOR, Deed.DEMO_SOURCES_NAMED()) as act:
        for image in demo.images:
            act.add_image(image)
        _add(act, "person", people)
        _add(act, "source", demo.sources)
        _add(act, "code", demo.codes)
    with store.act(EDITOR, Deed.DEMO_ENTRIES_MADE()) as act:
        _add(act, "entry", demo.entries)
        for entry in demo.entries:
            for term in entry.terms:
                act.count_past("term", term.id)
        _add(act, "slip", demo.slips)
    with store.act(EDITOR, Deed.DEMO_WORD_LIST_WORKED()) as act:
        _add(act, "page", demo.pages)
        _add(act, "line", demo.lines)
    with store.act(EDITOR, Deed.DEMO_TRIALS_RECORDED()) as act:
        _add(act, "trial", demo.trials)


def _add(act: Act, kind: str, records: tuple[Kept, ...]) -> None:
    for record in records:
        act.add(record)
        act.count_past(kind, record.id)
