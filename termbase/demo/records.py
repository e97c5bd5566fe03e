"""The demo's contents after loading."""

from dataclasses import dataclass

from termbase.record.entries import Entry
from termbase.record.pages import Line, Page
from termbase.record.people import Image, Person, Termbase
from termbase.record.sources import Slip, Source
from termbase.record.trials import Trial
from termbase.rules.clauses import RuleCode

__all__ = ["Demo", "Report"]


@dataclass(frozen=True)
class Report:
    """A period text to read: a newspaper report, a letter, a transcribed recording.

    `name` is its file name without the extension; `date` is EDTF.
    """

    name: str
    source_id: str
    date: str
    title: str
    text: str
    page: str = ""
    column: str = ""


@dataclass(frozen=True)
class Demo:
    """The whole demo: records ready for storing, version 0, with fixed ids in order.

    Lines are divided by the source's pattern and have their worked state; each name of an entry that comes
    from an attached or worked line has its headword slip.
    """

    termbase: Termbase
    people: tuple[Person, ...]
    images: tuple[Image, ...]
    sources: tuple[Source, ...]
    codes: tuple[RuleCode, ...]
    entries: tuple[Entry, ...]
    slips: tuple[Slip, ...]
    pages: tuple[Page, ...]
    lines: tuple[Line, ...]
    trials: tuple[Trial, ...]
    reports: tuple[Report, ...]
