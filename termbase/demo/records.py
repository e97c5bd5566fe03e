"""What the demonstration holds once it is read."""

from dataclasses import dataclass

from termbase.entries import Entry
from termbase.pages import Line, Page
from termbase.people import Image, Person, Termbase
from termbase.rulecodes import RuleCode
from termbase.sources import Slip, Source
from termbase.trials import Trial

__all__ = ["Demo", "Report"]


@dataclass(frozen=True)
class Report:
    """A text of the period to read: a newspaper report, a letter, a recording written down.

    `name` is its file's name without the ending; `date` is EDTF.
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
    """The whole demonstration: records ready for storing, version 0, ids fixed and in order.

    Lines are cut from the pages by the source's pattern and stand in the state they have been worked to;
    each name of an entry that an attached or made line bears witness to has its headword slip.
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
