"""Dataclasses as JSON and back: equal, and their messages can still be shown in another language."""

from dataclasses import dataclass, field
from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.catalogues import voice_of
from termbase.dates.edtf import parse, said
from termbase.errors import BadInput
from termbase.messages import Message, joined, message, message_of_number, translate
from termbase.record.sources import Certainty
from termbase.store.plaindata import from_json, to_json


@dataclass(frozen=True)
class Inner:
    words: str
    sure: Certainty = Certainty.SECURE


@dataclass(frozen=True)
class Outer:
    title: str
    numbers: tuple[int, ...] = ()
    pair: tuple[str, int] = ("", 0)
    inner: tuple[Inner, ...] = ()
    counts: dict[str, int] = field(default_factory=dict)
    way: Literal["", "one", "several"] = ""
    perhaps: Inner | None = None
    listed: list[str] = field(default_factory=list)


texts = st.text(st.characters(codec="utf-8"), max_size=20)
messages = st.recursive(
    st.one_of(
        texts,
        st.builds(lambda word: message("There is no such page."), texts),
        st.builds(lambda word: message("“%(asked)s” is not one of the options.", asked=word), texts),
        st.builds(lambda n: message_of_number("%(n)s entry", "%(n)s entries", n), st.integers(0, 50)),
    ),
    lambda inner: st.one_of(
        st.builds(lambda parts: joined(parts, ", "), st.lists(inner, max_size=3)),
        st.builds(lambda one: message("“%(asked)s” is not one of the options.", asked=one), inner),
    ),
    max_leaves=6,
)
inners = st.builds(Inner, messages, st.sampled_from(Certainty))
outers = st.builds(
    Outer,
    messages,
    st.lists(st.integers(-(2**40), 2**40), max_size=3).map(tuple),
    st.tuples(messages, st.integers(0, 9)),
    st.lists(inners, max_size=3).map(tuple),
    st.dictionaries(texts, st.integers(0, 9), max_size=3),
    st.sampled_from(("", "one", "several")),
    st.none() | inners,
    st.lists(messages, max_size=2),
)


@given(outers)
def test_stored_data_is_read_back_equal_with_the_same_text_in_every_language(kept: Outer) -> None:
    back = from_json(Outer, to_json(kept))

    assert back == kept
    for tag in ("en", "cy", "ga"):
        speaker = voice_of(tag).speaker
        assert translate(back.title, speaker) == translate(kept.title, speaker)
        for before, after in zip(kept.inner, back.inner, strict=True):
            assert translate(after.words, speaker) == translate(before.words, speaker)


def test_a_message_built_by_each_language_is_stored_in_every_language() -> None:
    date = said(parse("1868-05"))
    speakers = [voice_of(tag).speaker for tag in ("en", "cy", "ga")]

    back = from_json(Inner, to_json(Inner(message("It is of %(date)s.", date=date)), speakers)).words

    assert isinstance(back, Message)
    for speaker in speakers:
        assert translate(date, speaker) in translate(back, speaker)
    assert len({translate(date, speaker) for speaker in speakers}) == 3


@pytest.mark.parametrize(
    "text",
    [
        "", "[]", '{"title": 3}', '{"titel": "x"}', '{"title": {"with": {}}}', "{",
        '{"title": "x", "way": "both"}',
        '{"title": "x", "inner": [{"words": "y", "sure": "quite"}]}', '{"title": "x", "numbers": [true]}',
        '{"title": "x", "pair": ["y"]}',
        '{"title": {"message": "%(n)s entry", "many": "b", "with": {"n": "x"}}}',
        '{"title": {"message": "%(other)s"}, "counts": []}',
    ],
)  # fmt: skip
def test_json_that_does_not_fit_is_reported(text: str) -> None:
    with pytest.raises(BadInput, match="cannot be read"):
        from_json(Outer, text)
