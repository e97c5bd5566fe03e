"""Untidy records of any class, with any values, generated from their field declarations."""

from functools import cache
from typing import Any, get_args

from hypothesis import strategies as st

from termbase.fields import notes
from termbase.fields.declarations import (
    Date,
    DeclaredField,
    Items,
    Language,
    Lines,
    Member,
    Members,
    Nested,
    Reason,
    Statement,
    Text,
    fields_of,
)
from termbase.technique.profile import Stated

PIECES = st.sampled_from([
    "gafael", "Ó", "e\N{COMBINING ACUTE ACCENT}", "n\u034fg", "ﬁ", "क\u200d", "a\u200db", "\u200b", "\u00ad",
    "\ufeff",    " ", "  ", "\t", "\n", "\r\n", "\r", "\u2028", "\x85", "\u00a0", "𐌰",
])  # fmt: skip
TEXTS = st.lists(st.one_of(PIECES, st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"),
                                           max_size=3)), max_size=5).map("".join)  # fmt: skip
TAGS = st.sampled_from(["cy", "GA-latg", " en ", "x-GLAN", "iw", "i-klingon", "cy_GB", "not a tag", "", " "])
DAYS = st.sampled_from(["", "1898", " 1898-06 ", "189X~", "long ago", "\u200b"])


@cache
def records(cls: type[Any], *, right: bool = False) -> st.SearchStrategy[Any]:
    """Return records of a class; `right`: with valid languages and dates, and no required text empty."""
    return st.builds(cls, **{field.name: _values(field, right) for field in fields_of(cls)})


def _values(field: DeclaredField, right: bool) -> st.SearchStrategy[Any]:
    kind = field.is_a
    match kind:
        case Language():
            tags = TAGS.filter(lambda tag: "_" not in tag and "not" not in tag)
            return (tags.filter(str.strip) if kind.needed else tags) if right else TAGS
        case Date():
            days = DAYS.filter(lambda day: day not in ("long ago", "\u200b"))
            return (days.filter(str.strip) if kind.needed else days) if right else DAYS
        case Text():
            return TEXTS.map(lambda text: f"x{text}") if kind.needed and right else TEXTS
        case Lines():
            strategy = _values(DeclaredField(**{**_declared(field), "is_a": Language(needed=True)}), right)
            return st.lists(strategy if kind.language else TEXTS, max_size=3).map(tuple)
        case Statement():
            inner = get_args(next(part for part in get_args(field.hint) if part is not type(None)))[0]
            return st.none() | st.builds(Stated, value=st.from_type(inner), ref=TEXTS)
        case Reason():
            ours = st.builds(notes.CodedText, code=st.just("slip.removed"), values=st.just({"id": "q1"}))
            return st.just(notes.NOTHING_SAID) | ours | TEXTS.map(notes.own_words)
        case Items():
            strategy = st.one_of(*(st.deferred(lambda c=c: records(c, right=right)) for c in field.within))
            return st.lists(strategy, min_size=1 if kind.needed and right else 0, max_size=2).map(tuple)
        case Nested():
            strategy = st.one_of(*(st.deferred(lambda c=c: records(c, right=right)) for c in field.within))
            return st.none() | strategy if field.optional else strategy
        case Member() | Members():
            return st.from_type(field.hint)
    return st.from_type(field.hint)


def _declared(field: DeclaredField) -> dict[str, Any]:
    return {name: getattr(field, name) for name in DeclaredField.__slots__}
