"""Verdicts and dates in the reader's language: the wordings of `termbase`, every phrase through `gettext`."""

from functools import cache

from app.web.language import gettext as _
from app.web.language import interface_language, listed
from termbase.datewords import ENGLISH as ENGLISH_DATES
from termbase.datewords import DateWords
from termbase.judging import ENGLISH
from termbase.judging.wording import Wording
from termbase.rulecodes import AnyClause, sentence
from termbase.rulecodes.clauses import family
from termbase.rulecodes.questions import QUESTIONS, answers_of
from termbase.technique import Profile, describe
from termbase.technique.stating import ATTRIBUTES, statements_of

__all__ = ["clause_words", "date_words", "profile_words", "verdict_wording"]

_LEFT_OUT = (".also", ".essential", "left_form", "leg_when")
"""Attributes that the sentence of a profile does not say; its table does."""


def date_words() -> DateWords:
    """How dates are said in the reader's language."""
    return _date_words(interface_language())


def verdict_wording() -> Wording:
    """How verdicts and their reasons are said in the reader's language."""
    return _verdict_wording(interface_language())


def profile_words(profile: Profile) -> str:
    """What a profile states, in one line: a sentence in English, elsewhere each attribute with its values.

    A sentence made of parts cannot be made in a language whose words change beside each other.
    """
    if interface_language() == "en":
        return describe(profile)
    stated = [
        f"{_(ENGLISH.words[path])}: {listed([_(value) for value in statement.values])}"
        for path, statement in statements_of(profile).items()
        if path in ENGLISH.words and statement.values not in ((), ("no",)) and not path.endswith(_LEFT_OUT)
    ]
    return f"{'; '.join(stated)}." if stated else _("Nothing is stated of how it is done.")


def clause_words(clause: AnyClause) -> str:
    """What a clause says: a sentence in English, elsewhere each question with its answers."""
    if interface_language() == "en":
        return sentence(clause)
    answers = answers_of(clause)
    asked = [
        f"{_(question.asks)} {listed([_(answer) for answer in answers[question.path]])}."
        for question in QUESTIONS[family(clause)]
        if answers.get(question.path) and question.path not in ("words", "sources")
    ]
    return " ".join(asked) or _("Silent.")


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
