"""The words of dates: templates and names by key, and plain English as the wording to begin with.

A wording is data, so that a translation is too; `termbase.dates.edtf.readable` fills it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from termbase.messages import Translator

__all__ = ["ENGLISH", "DateWords", "date_words"]


@dataclass(frozen=True, slots=True)
class DateWords:
    """How dates are put into words in one language.

    Attributes:
        months: the twelve months, January first.
        groupings: seasons, quarters and the like by their code of ISO 8601-2 4.8 (21 to 41).
        templates: the other phrases by key, their parameters in braces.
    """

    months: tuple[str, ...]
    groupings: Mapping[int, str]
    templates: Mapping[str, str]

    def say(self, key: str, **values: object) -> str:
        """The phrase of a key, filled."""
        return self.templates[key].format(**values)


ENGLISH: Final = DateWords(
    months=(
        *("January", "February", "March", "April", "May", "June", "July"),
        *("August", "September", "October", "November", "December"),
    ),
    groupings={
        21: "spring",
        22: "summer",
        23: "autumn",
        24: "winter",
        25: "spring (northern hemisphere)",
        26: "summer (northern hemisphere)",
        27: "autumn (northern hemisphere)",
        28: "winter (northern hemisphere)",
        29: "spring (southern hemisphere)",
        30: "summer (southern hemisphere)",
        31: "autumn (southern hemisphere)",
        32: "winter (southern hemisphere)",
        33: "first quarter of",
        34: "second quarter of",
        35: "third quarter of",
        36: "fourth quarter of",
        37: "first four months of",
        38: "middle four months of",
        39: "last four months of",
        40: "first half of",
        41: "second half of",
    },
    templates={
        "about": "about {date}",
        "alternative": "{first} or {last}",
        "approximate": "approximate",
        "before Christ": "{year} BC",
        "between": "between {first} and {last}",
        "both": "{first} and {last}",
        "choice": "{date} ({first} to {last})",
        "day": "day",
        "day and month": "{day} {month} {year}",
        "day of a month": "day {day} of a month of {year}",
        "earlier": "{date} or earlier",
        "estimated": "{date} (estimated {year})",
        "from": "from {date}, end not known",
        "later": "{date} or later",
        "month": "month",
        "month of": "a month of {year}",
        "never": "at no known time",
        "of year": "{part} of {year}",
        "part of year": "{part} {year}",
        "parts": "{parts} {doubt}",
        "perhaps": "perhaps {date}",
        "perhaps about": "perhaps about {date}",
        "some day": "a day in {date}",
        "some year": "a year {span}",
        "to": "{first} to {last}",
        "uncertain": "uncertain",
        "uncertain and approximate": "uncertain and approximate",
        "unknown year": "an unknown year",
        "until": "until {date}, beginning not known",
        "with doubt": "{date} ({doubts})",
        "year": "year",
    },
)
"""Plain English."""


def date_words(speaker: Translator) -> DateWords:
    """How dates are put into words in the language of a catalogue that has the English ones."""
    return DateWords(
        tuple(map(speaker.one, ENGLISH.months)),
        {code: speaker.one(name) for code, name in ENGLISH.groupings.items()},
        {key: speaker.one(template) for key, template in ENGLISH.templates.items()},
    )
