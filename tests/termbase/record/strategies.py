"""Hypothesis strategies for any record, from its field declarations; with few values, so they often
collide."""

from dataclasses import replace
from typing import Any

from hypothesis import strategies as st

from termbase.fields.declarations import (
    Block,
    Count,
    Date,
    DeclaredField,
    Flag,
    Language,
    Lines,
    Member,
    Members,
    Nested,
    Reason,
    fields_of,
)
from termbase.fields.notes import CodedText
from termbase.record.entries import Entry
from termbase.technique.profile import Profile
from tests.termbase.judging.strategies import CLOSE_PROFILES, WIDE_PROFILES

__all__ = ["ENTRY_IDS", "entries", "records"]

ENTRY_IDS = ("c0001", "c0002", "c0003")
WORDS = ("", "hank", "clicied", "back heel")
NAMES = st.lists(st.sampled_from(WORDS[1:]), max_size=2, unique=True).map(tuple)
PROFILES = st.builds(replace, WIDE_PROFILES | CLOSE_PROFILES, names=NAMES, note=st.sampled_from(WORDS))


def records(cls: type[Any], **known: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Return records of a class; `known` fixes the values of some fields."""
    values = {f.name: known[f.name] if f.name in known else _any(f) for f in fields_of(cls)}
    return st.builds(cls, **values)


REASONS = st.builds(lambda text: CodedText(text=text), st.sampled_from(WORDS))


def _any(field: DeclaredField) -> st.SearchStrategy[Any]:
    return REASONS if isinstance(field.is_a, Reason) else _values(field)


def _values(field: DeclaredField) -> st.SearchStrategy[Any]:
    match field.is_a:
        case Nested() if field.of is Profile:
            return st.none() | PROFILES
        case Nested() if field.of:
            return records(field.of) if not field.optional else st.none() | records(field.of)
        case Member() | Members():
            member = st.sampled_from(field.members or field.words)
            if isinstance(field.is_a, Members):
                return st.lists(member, max_size=2, unique=True).map(tuple)
            return st.none() | member if field.optional else member
        case Language():
            return st.sampled_from(("en", "cy") if field.is_a.needed else ("", "en", "cy"))
        case Date():
            return st.sampled_from(("", "1898", "1898-06~"))
        case Lines():
            return NAMES
        case Flag():
            return st.booleans()
        case Count():
            return st.just(0)
        case Block():
            return st.sampled_from((*WORDS, "two\nlines"))
    if field.of:
        return st.lists(records(field.of), max_size=2).map(lambda found: tuple(dict.fromkeys(found)))
    return st.sampled_from(WORDS[1:] if field.is_a.needed else WORDS)


@st.composite
def entries(draw: st.DrawFn, entry_id: str, cls: type[Entry] = Entry) -> Any:
    """Return an entry with this id, with names with unique ids, and relations to entries that may exist."""
    (term,) = {f.of for f in fields_of(cls) if f.name == "terms"}
    (relation,) = {f.of for f in fields_of(cls) if f.name == "relations"}
    assert term
    assert relation
    names = draw(st.lists(records(term), min_size=1, max_size=3))
    terms = tuple(replace(t, id=f"t{entry_id[-1]}{n}") for n, t in enumerate(names))
    leads = records(relation, target_id=st.sampled_from(ENTRY_IDS))
    relations = st.lists(leads, max_size=2, unique=True).map(tuple)
    return draw(records(cls, id=st.just(entry_id), terms=st.just(terms), relations=relations))
