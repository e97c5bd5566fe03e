"""Initial mutations, inverted: from a form in running text to the words it may be a form of.

Tables are data (the language's file); this reads them both ways. Inverting collects *every* rule whose
mutated side begins the form, never the longest match alone: Welsh *l* comes from *ll* and from *gl*.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from termbase.languages.files import LanguageFile, Status, per_language
from termbase.languages.folding import APOSTROPHES, HYPHENS, clean, modern_spelling, one_spelling

__all__ = ["Candidate", "How", "Rule", "mutated", "parse_rule", "rules", "unmutated_forms"]

How = Literal["itself", "irregular", "mutated"]

NOTHING = "∅"
_RULE = re.compile(r"\s*(\S+)\s+>\s+(\S+)(?:\s+/\s+(.+?))?\s*")
_RANKS: dict[Status, int] = {"standard": 0, "variant": 1, "old": 2}
_ONE_SIGN = str.maketrans(dict.fromkeys(APOSTROPHES, "'") | dict.fromkeys(HYPHENS, "-"))


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of a mutation table.

    Attributes:
        radical: the radical initial, lower case; empty where the mutation adds something to any word.
        mutated: what is written in its place; empty where the initial is lost.
        environment: what the radical word must begin with, or None.
        mutation: the table's name (`lenition`).
        status: standard, variant or old.
        before_capital: in standard use before a capital only.
    """

    radical: str
    mutated: str
    environment: re.Pattern[str] | None
    mutation: str
    status: Status
    before_capital: bool = False

    def applies_to(self, word: str) -> bool:
        """Whether a radical word, in lower case, takes this mutation."""
        if not word.startswith(self.radical):
            return False
        return self.environment is None or self.environment.match(word) is not None

    def change(self) -> str:
        """The change in print: `c > ch`."""
        return f"{self.radical or NOTHING} > {self.mutated or NOTHING}"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A word that a form may be a form of.

    Attributes:
        text: the word, in the case that the form suggests.
        how: the form itself, a form listed as irregular, or a mutated form.
        mutation: name of the mutation (`lenition`); empty where none.
        change: the change undone (`c > ch`), or `téigh > chuaigh` where irregular.
        status: whether the change is standard, a variant or old.
    """

    text: str
    how: How
    mutation: str = ""
    change: str = ""
    status: Status = "standard"


@dataclass(frozen=True, slots=True)
class _Tables:
    """The rules of a language by what they write, and its irregular forms."""

    by_mutated: dict[str, tuple[Rule, ...]]
    longest: int
    irregular: dict[str, tuple[str, ...]]


def parse_rule(text: str, vowels: str = "") -> tuple[str, str, re.Pattern[str] | None]:
    """Read `radical > mutated / environment`: radical, mutated, and the environment compiled.

    Raises:
        ValueError: the shape is wrong, or the environment is not a regular expression.
    """
    found = _RULE.fullmatch(text)
    if not found:
        raise ValueError(f"“{text}” is not of the form “radical > mutated / environment”")
    radical, changed, environment = found.groups()
    try:
        compiled = re.compile(environment.replace("V", vowels)) if environment else None
    except re.error as problem:
        raise ValueError(f"“{environment}” is no regular expression ({problem})") from problem
    return radical.replace(NOTHING, ""), changed.replace(NOTHING, ""), compiled


def rules(tag: str) -> tuple[Rule, ...]:
    """Every rule of a language, in the order of its file; none for a language without mutations.

    Raises:
        BadInput: the tag is not well formed.
    """
    return _rules(tag)


def unmutated_forms(form: str, tag: str) -> tuple[Candidate, ...]:
    """Every word the form may be a form of: itself first, then irregular ones, then by undone mutation.

    Of the mutations the standard ones come before variants and old print, and longer ones before shorter.
    Only the beginning of the form is looked at, so of a phrase only its first word.

    Raises:
        BadInput: the tag is not well formed.

    >>> [(c.text, c.change) for c in unmutated_forms("fachiad", "cy")]
    [('fachiad', ''), ('bachiad', 'b > f'), ('machiad', 'm > f')]
    """
    text = clean(form)
    if not text.isascii():
        text = modern_spelling(text).translate(_ONE_SIGN)
    return _inverted(text, _tables(tag))


def mutated(word: str, tag: str) -> tuple[Candidate, ...]:
    """Every mutated form a radical word may have, as candidates whose text is the mutated form, lower case.

    Raises:
        BadInput: the tag is not well formed.

    >>> [(c.text, c.mutation) for c in mutated("cam", "cy")]
    [('gam', 'soft'), ('ngham', 'nasal'), ('cham', 'aspirate')]
    """
    lower = one_spelling(word)
    return tuple(
        Candidate(
            rule.mutated + lower[len(rule.radical) :], "mutated", rule.mutation, rule.change(), rule.status
        )
        for rule in _rules(tag)
        if rule.applies_to(lower)
    )


def _inverted(text: str, tables: _Tables) -> tuple[Candidate, ...]:
    lower = text.lower()
    found: dict[str, Candidate] = {lower: Candidate(text, "itself")}
    by_rank: list[list[tuple[Rule, str]]] = [[], [], []]
    for rule, word in _undone(lower, tables):
        rank = _RANKS[rule.status]
        if rule.before_capital and not text[len(rule.mutated) - 1 : len(rule.mutated)].isupper():
            rank = 1
        by_rank[rank].append((rule, word))
    irregular = [(lower, headword) for headword in tables.irregular.get(lower, ())]
    for _, word in (pair for rank in by_rank for pair in rank):
        irregular.extend((word, headword) for headword in tables.irregular.get(word, ()))
    for word, headword in irregular:
        if headword not in found:
            found[headword] = Candidate(headword, "irregular", change=f"{headword} > {word}")
    for rank, pairs in enumerate(by_rank):
        status: Status = ("standard", "variant", "old")[rank]
        for rule, word in pairs:
            if word not in found:
                cased = _in_case(text, lower, word, rule)
                found[word] = Candidate(cased, "mutated", rule.mutation, rule.change(), status)
    return tuple(found.values())


def _undone(lower: str, tables: _Tables) -> Iterator[tuple[Rule, str]]:
    for length in range(min(tables.longest, len(lower)), -1, -1):
        for rule in tables.by_mutated.get(lower[:length], ()):
            word = rule.radical + lower[length:]
            if word and rule.applies_to(word):
                yield rule, word


def _in_case(text: str, lower: str, word: str, rule: Rule) -> str:
    """The word in capitals as the form has them: *bPoblacht* gives *Poblacht*, *Gymru* gives *Cymru*."""
    if text == lower or len(text) != len(lower):
        return word
    if len(text) > 1 and text.isupper():
        return word.upper()
    shared = 0
    while (
        shared < min(len(rule.radical), len(rule.mutated))
        and rule.radical[-1 - shared] == rule.mutated[-1 - shared]
    ):
        shared += 1
    rest = text[len(rule.mutated) - shared :]
    start = rule.radical[: len(rule.radical) - shared]
    if not text[0].isupper():
        return start + rest
    if start and not (len(rule.mutated) - shared):
        rest = rest[0].lower() + rest[1:]
    whole = start + rest
    return whole[0].upper() + whole[1:]


def _read_rules(file: LanguageFile) -> tuple[Rule, ...]:
    read = []
    for table in file.mutations:
        for text in table.rules:
            radical, changed, environment = parse_rule(text, file.vowels)
            pairs = [(radical, changed)]
            if radical == "V":
                pairs = [(vowel, changed.replace("V", vowel)) for vowel in file.vowels]
            for start, written in pairs:
                read.append(Rule(start, written, environment, table.name, table.status, table.before_capital))
    return tuple(read)


_rules = per_language(_read_rules)


def _build(file: LanguageFile) -> _Tables:
    by_mutated: dict[str, list[Rule]] = {}
    for rule in _read_rules(file):
        by_mutated.setdefault(rule.mutated, []).append(rule)
    irregular: dict[str, list[str]] = {}
    for headword, forms in file.irregular.items():
        for form in forms:
            irregular.setdefault(one_spelling(form), []).append(one_spelling(headword))
    return _Tables(
        {written: tuple(sharing) for written, sharing in by_mutated.items()},
        max(map(len, by_mutated), default=0),
        {form: tuple(headwords) for form, headwords in irregular.items()},
    )


_tables = per_language(_build)
