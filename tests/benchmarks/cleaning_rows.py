"""The cost of cleaning the entries of a large termbase, compared with reading all their fields."""

from dataclasses import replace
from operator import attrgetter
from statistics import median
from time import process_time

from termbase.fields.declarations import fields_of
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Gender,
    InflectedForm,
    Number,
    Origin,
    PartOfSpeech,
    Status,
    Term,
)
from termbase.record.validation import clean_entry

ROUNDS = 5


def rows(entries: int = 12_000) -> list[tuple[str, float, float, float | None]]:
    """Two rows: entries that are clean already, and entries with something to fix in every text."""
    clean = [_entry(n, "") for n in range(entries)]
    untidy = [_entry(n, " \u200b ") for n in range(entries)]
    of_entry, of_term = (attrgetter(*(f.name for f in fields_of(cls))) for cls in (Entry, Term))

    def read() -> None:
        for entry in clean:
            of_entry(entry)
            for term in entry.terms:
                of_term(term)

    bare = _seconds(read)
    return [
        (f"cleaning {entries:,} entries in order : reading", _seconds(lambda: _take(clean)), bare, None),
        (f"cleaning {entries:,} untidy entries : reading", _seconds(lambda: _take(untidy)), bare, None),
    ]


def _take(entries: list[Entry]) -> None:
    for entry in entries:
        clean_entry(entry)


def _seconds(work: object) -> float:
    assert callable(work)
    times = []
    for _ in range(ROUNDS):
        start = process_time()
        work()
        times.append(process_time() - start)
    return median(times)


def _entry(number: int, stray: str) -> Entry:
    word = f"{stray}gafael {number}{stray}"
    welsh = Term(
        f"t{number}", word, "cy", Origin.WORD_LIST, gender=Gender.FEMININE, number=Number.SINGULAR,
        part_of_speech=PartOfSpeech.NOUN, status=Status.PREFERRED, region=f"{stray}y Môr",
        forms=(InflectedForm("plural", f"{word}ion"),), usage_note=f"{stray}Said of a hold.{stray}",
    )  # fmt: skip
    english = replace(welsh, id=f"u{number}", language="en", forms=(), gender=None)
    return Entry(
        f"c{number:04d}",
        terms=(welsh, english),
        definitions=(
            Definition("en", f"A hold with both hands.{stray}"),
            Definition("cy", f"Gafael â dwy law.{stray}"),
        ),
        analogues=(Analogue("collar tie", "en", "folk style"),),
        usage_note=f"{stray}Seldom.",
        created_by="Nia",
        created_on="2026-03-01",
    )
