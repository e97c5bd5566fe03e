"""Cache verdicts: complete verdicts by profile, and only the verdict words for lists.

A verdict depends only on the profile, the names, the rule code and the bout. For lists, the profile is cached
by its text in the database, so a list neither decodes a profile nor judges it again.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache

from sqlalchemy import select

from termbase.judging.deciding import judge, judge_many
from termbase.judging.verdict import UNKNOWN, Circumstances, Verdict, VerdictWord
from termbase.rules.clauses import RuleCode
from termbase.store import tables
from termbase.store.batches import batched
from termbase.store.reading import Reader
from termbase.store.rows import profile_of
from termbase.technique.profile import NamedProfile, Profile

__all__ = ["Judgeable", "entries_with_verdict", "judge_cached", "judgeables", "verdict_words"]

Judgeable = tuple[str, frozenset[str]]
"""The data an entry is judged by: its profile as stored (JSON) and all its names."""

MOST_CACHED = 200_000


@lru_cache(maxsize=65536)
def judge_cached(
    profile: Profile, code: RuleCode, names: frozenset[str], bout: Circumstances = UNKNOWN
) -> Verdict:
    """Return `judge` from a cache: the same profile, code, names and bout always give the same verdict."""
    return judge(profile, code, bout, names)


def verdict_words(code: RuleCode, techniques: Iterable[Judgeable]) -> list[VerdictWord]:
    """Return the verdict word of each technique under a code; an editor's ruling is ignored."""
    requested = list(techniques)
    known = _cache_of(code)
    if len(known) > MOST_CACHED:
        known.clear()
    new = [technique for technique in dict.fromkeys(requested) if technique not in known]
    decoded = ((profile_of(stored, min(names, default="")), names) for stored, names in new)
    profiles = (NamedProfile("", "", (*names, *profile.names), profile) for profile, names in decoded)
    for technique, (_named, _code, verdict) in zip(new, judge_many(profiles, [code]), strict=True):
        known[technique] = verdict.word
    return [known[technique] for technique in requested]


def judgeables(reader: Reader, ids: Sequence[str] | None = None) -> dict[str, Judgeable]:
    """Return the data these entries (all if None) are judged by, by id; entries without a technique are left
    out."""
    if ids is None:
        return _read(reader, None)
    result: dict[str, Judgeable] = {}
    for batch in batched(ids):
        result |= _read(reader, batch)
    return result


def entries_with_verdict(reader: Reader, code: RuleCode, words: Iterable[str]) -> frozenset[str]:
    """Return the ids of entries whose verdict under a code is one of these words; a ruling overrides it."""
    wanted = frozenset(words)
    rulings = tables.ruling.c
    ruled = {
        row[0]: row[1]
        for row in reader.connection.execute(
            select(rulings.entry_id, rulings.verdict).where(rulings.code_id == code.id)
        )
    }
    techniques = judgeables(reader)
    judged = zip(techniques, verdict_words(code, techniques.values()), strict=True)
    return frozenset(i for i, word in judged if ruled.get(i, word) in wanted)


def _read(reader: Reader, ids: Sequence[str] | None) -> dict[str, Judgeable]:
    entry, term = tables.entry.c, tables.term.c
    query = (
        select(entry.id, entry.technique, term.text)
        .join(tables.term, term.entry_id == entry.id)
        .where(entry.technique.is_not(None))
    )
    if ids is not None:
        query = query.where(entry.id.in_(ids))
    profiles: dict[str, str] = {}
    names: dict[str, set[str]] = {}
    for entry_id, technique, name in reader.connection.execute(query):
        profiles[entry_id] = technique
        names.setdefault(entry_id, set()).add(name)
    return {i: (profile, frozenset(names[i])) for i, profile in profiles.items()}


@lru_cache(maxsize=64)
def _cache_of(_code: RuleCode) -> dict[Judgeable, VerdictWord]:
    """Return the verdict words cached for one code."""
    return {}
