"""The segment index must answer as if every name had been compared."""

from collections import defaultdict

from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from termbase.store.keys import MOST_EDITS, beginning_probes, edits_allowed, probes, segments

LETTERS = st.text("abŵ", max_size=14)


def _under(names: list[str]) -> dict[int, set[str]]:
    kept = defaultdict(set)
    for name in names:
        for number in segments(name):
            kept[number].add(name)
    return kept


@given(st.lists(LETTERS.filter(bool), max_size=30), LETTERS)
def test_every_name_within_the_edits_allowed_shares_a_segment(names: list[str], query: str) -> None:
    kept = _under(names)
    candidates = set().union(*(kept[n] for n in probes(query)))
    near = {n for n in names if Levenshtein.distance(n, query) <= edits_allowed(len(n))}
    assert near <= candidates


@given(st.text("abcdefgh", min_size=8, max_size=30), st.data())
def test_a_name_with_three_edits_is_reached(name: str, data: st.DataObject) -> None:
    typed = name
    for _ in range(MOST_EDITS):
        at = data.draw(st.integers(0, len(typed)))
        cut = data.draw(st.integers(0, 1))
        typed = typed[:at] + data.draw(st.text("abcdefgh", max_size=1)) + typed[at + cut :]
    if Levenshtein.distance(name, typed) <= edits_allowed(len(name)):
        assert set(segments(name)) & set(probes(typed))


@given(st.text("abcdefgh", min_size=8, max_size=30), st.data())
def test_half_a_name_with_one_error_reaches_it(name: str, data: st.DataObject) -> None:
    half = name[: len(name) // 2 + 1]
    at = data.draw(st.integers(0, len(half) - 1))
    put = data.draw(st.text("xyz", max_size=2))
    typed = half[:at] + put[:1] + half[at + data.draw(st.integers(0, 1)) :]
    assert set(segments(name)) & set(beginning_probes(typed))


def test_an_empty_name_has_no_segments() -> None:
    assert segments("") == []


def test_numbers_fit_into_a_signed_column_of_32_bits() -> None:
    numbers = [n for name in ("baglu", "clun groes", "⁊") for n in (*segments(name), *probes(name))]
    assert all(-(2**31) <= n < 2**31 for n in numbers)
