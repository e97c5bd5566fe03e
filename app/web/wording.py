"""Verdicts, dates, techniques and clauses in the reader's language."""

from app.catalogues import voice_of
from app.web.language import interface_language
from termbase.dates.wording import DateWords
from termbase.judging.wording import Wording
from termbase.rules.clauses import AnyClause
from termbase.technique.profile import Profile

__all__ = ["clause_words", "date_words", "profile_words", "verdict_wording"]


def date_words() -> DateWords:
    """Return the words for dates in the reader's language."""
    return voice_of(interface_language()).date_words


def verdict_wording() -> Wording:
    """Return the words for verdicts and their reasons in the reader's language."""
    return voice_of(interface_language()).verdict_wording


def profile_words(profile: Profile) -> str:
    """Return what a profile states, in one line."""
    return voice_of(interface_language()).profile(profile)


def clause_words(clause: AnyClause) -> str:
    """Return what a clause says."""
    return voice_of(interface_language()).clause(clause)
