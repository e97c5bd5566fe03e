"""Verdicts and dates in the reader's language: the wordings of `termbase`, every phrase through `gettext`."""

from functools import cache

from app.web.language import gettext as _
from app.web.language import interface_language
from termbase.datewords import ENGLISH as ENGLISH_DATES
from termbase.datewords import DateWords
from termbase.judging import ENGLISH
from termbase.judging.wording import Wording
from termbase.technique.stating import ATTRIBUTES

__all__ = ["date_words", "verdict_wording"]


def date_words() -> DateWords:
    """How dates are said in the reader's language."""
    return _date_words(interface_language())


def verdict_wording() -> Wording:
    """How verdicts and their reasons are said in the reader's language."""
    return _verdict_wording(interface_language())


@cache
def _date_words(tongue: str) -> DateWords:
    if tongue == "en":
        return ENGLISH_DATES
    return DateWords(
        tuple(_(month) for month in ENGLISH_DATES.months),
        {code: _(name) for code, name in ENGLISH_DATES.groupings.items()},
        {key: _(template) for key, template in ENGLISH_DATES.templates.items()},
    )


@cache
def _verdict_wording(tongue: str) -> Wording:
    if tongue == "en":
        return ENGLISH
    values = {value: _(value) for attribute in ATTRIBUTES for value in attribute.values}
    # a hand's side agrees with the word for a hand
    hands = {"right": _("right (of a hand)"), "left": _("left (of a hand)")}
    return Wording(
        {key: _(template) for key, template in ENGLISH.templates.items()},
        values | hands | {word: _(phrase) for word, phrase in ENGLISH.words.items()},
        {place: _(phrase) for place, phrase in ENGLISH.places.items()},
        alternative=_(" or "),
        conjunction=_(" and "),
    )
