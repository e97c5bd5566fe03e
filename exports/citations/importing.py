"""Importing sources from a file: the plan of what is new or changed, and the import of all or nothing."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from exports.citations.works import Work, names_in, year_in
from termbase.acts.sources import save_source
from termbase.errors import BadInput
from termbase.importing.records import State
from termbase.messages import joined, message
from termbase.record.differences import Difference, differences
from termbase.record.sources import Source, SourceKind
from termbase.record.validation import clean_source
from termbase.rules.files import BadRows
from termbase.store.reading import Reader, as_json
from termbase.store.writing import Act

__all__ = ["PlannedSource", "import_sources", "plan_sources"]


@dataclass(frozen=True)
class PlannedSource:
    """What would happen to a work in a file.

    Attributes:
        state: new, same or changed.
        source: as it would be stored (a new one has no id yet).
        place: where it is in the file.
        differences: what would change.
        unread: names of the file's fields that a source does not have.
    """

    state: State
    source: Source
    place: str
    differences: tuple[Difference, ...] = ()
    unread: tuple[str, ...] = ()


_LETTERS: Final = "abcdefghijklmnopqrstuvwxyz"


def plan_sources(reader: Reader, works: Iterable[Work | BadInput], where: str) -> tuple[PlannedSource, ...]:
    """Return what importing these works would do; nothing is written.

    A work matches a source with the same label, or else with the same title, author and date. Fields of a
    known source that the file does not give stay unchanged. A new source without a label gets one made from
    its author or title and year.

    Raises:
        BadRows: some works are not valid; each is listed.
    """
    known = list(reader.all(Source))
    by_label = {source.label: source for source in known}
    by_work = {(source.title, source.author, source.issued): source for source in known}
    bad: list[BadInput] = []
    planned: list[PlannedSource] = []
    seen: dict[str, str] = {}
    labels = set(by_label)
    for work in works:
        if isinstance(work, BadInput):
            bad.append(work)
            continue
        try:
            result = _planned(work, by_label, by_work, labels)
            if result.source.label in seen:
                raise BadInput(
                    message(
                        "It is the same work as %(place)s: both would be labelled “%(label)s”.",
                        place=seen[result.source.label],
                        label=result.source.label,
                    ),
                    fix=message("Keep one of them, or give them different labels."),
                )
        except BadInput as error:
            place = joined((work.place, error.where), ", ")
            bad.append(BadInput(error.what, where=place, fix=error.fix))
            continue
        seen[result.source.label] = work.place
        planned.append(result)
    if bad:
        raise BadRows(bad, where=where)
    return tuple(planned)


def import_sources(act: Act, planned: Iterable[PlannedSource]) -> tuple[Source, ...]:
    """Write the new and changed sources; return them as stored.

    Raises:
        BadInput: a source cannot be stored; nothing is written then.
        Conflict: a source was changed in the meantime; nothing is written then.
    """
    return tuple(save_source(act, each.source) for each in planned if each.state is not State.SAME)


def _planned(
    work: Work,
    by_label: dict[str, Source],
    by_work: dict[tuple[str, str, str], Source],
    labels: set[str],
) -> PlannedSource:
    fields = work.fields
    same_work = by_work.get((fields.get("title", ""), fields.get("author", ""), fields.get("issued", "")))
    known = by_label.get(" ".join(fields.get("label", "").split())) or (
        None if fields.get("label") else same_work
    )
    if known is None:
        blank = Source(id="", label="", kind=work.kind or SourceKind.OTHER, title="")
        source = replace(blank, **fields, styles=work.styles or ())  # type: ignore[arg-type] # texts only
        if not source.label.strip():
            source = replace(source, label=_label(source, labels))
        labels.add(source.label)
        return PlannedSource(State.NEW, clean_source(source), work.place, (), work.unread)
    more = {} if work.styles is None else {"styles": work.styles}
    changed = replace(known, **fields, **more)  # type: ignore[arg-type] # texts, and one tuple
    if work.kind is not None and work.kind is not SourceKind.OTHER:
        changed = replace(changed, kind=work.kind)
    source = clean_source(changed)
    if source == clean_source(known):
        return PlannedSource(State.SAME, known, work.place, (), work.unread)
    changes = differences(as_json(known), as_json(source), type(source))
    return PlannedSource(State.CHANGED, source, work.place, changes, work.unread)


def _label(source: Source, taken: set[str]) -> str:
    """Return author (or else the first words of the title) and year, made unique by a letter if necessary."""
    first = next(iter(names_in(source.author)), None)
    name = (first.family or first.literal) if first else " ".join(source.title.split()[:4])
    wanted = " ".join(filter(None, (name, year_in(source.issued))))
    return next(label for label in _candidates(wanted) if label not in taken)


def _candidates(wanted: str) -> Iterator[str]:
    yield wanted
    yield from (f"{wanted}{letter}" for letter in _LETTERS)
    number = 2
    while True:
        yield f"{wanted} ({number})"
        number += 1
