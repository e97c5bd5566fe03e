"""How parts of an article are called and ordered on the screen."""

from collections.abc import Mapping, Sequence

from termbase.entries import Entry
from termbase.rulecodes import RuleCode, sentence
from termbase.sources import Source

__all__ = ["clause_words", "head_languages", "source_words"]


def head_languages(entry: Entry, usual: Sequence[str]) -> tuple[str, ...]:
    """The languages of the termbase in their order, then others that the entry has names in."""
    return tuple(dict.fromkeys((*usual, *(term.language for term in entry.terms))))


def clause_words(code: RuleCode, clause_id: str) -> str:
    """What a clause says, in plain words; its id where the code has it no more."""
    found = next((clause for clause in code.clauses if clause.id == clause_id), None)
    return sentence(found) if found is not None else clause_id


def source_words(sources: Mapping[str, Source], named: str) -> str:
    """The label of a source named by id or label."""
    return sources[named].label if named in sources else named
