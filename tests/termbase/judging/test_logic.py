"""The laws of Kleene's three values, over the whole tables (S. C. Kleene, Introduction to Metamathematics,
1952, § 64, the strong tables; cited from memory)."""

from itertools import product

import pytest

from termbase.judging.verdict import Truth, all_of, any_of, both, either

VALUES: tuple[Truth, ...] = (True, None, False)
RANK: dict[Truth, int] = {False: 0, None: 1, True: 2}


def negated(value: Truth) -> Truth:
    return None if value is None else not value


def completions(value: Truth) -> tuple[bool, ...]:
    """Return the values that a truth may turn out to be."""
    return (True, False) if value is None else (value,)


@pytest.mark.parametrize(("a", "b"), list(product(VALUES, repeat=2)))
def test_both_is_the_minimum_and_either_the_maximum(a: Truth, b: Truth) -> None:
    assert both(a, b) is min(a, b, key=RANK.__getitem__)
    assert either(a, b) is max(a, b, key=RANK.__getitem__)


@pytest.mark.parametrize(("a", "b"), list(product(VALUES, repeat=2)))
def test_a_known_result_is_the_same_for_every_completion(a: Truth, b: Truth) -> None:
    for law, plain in ((both, bool.__and__), (either, bool.__or__)):
        results = {plain(x, y) for x, y in product(completions(a), completions(b))}
        assert law(a, b) is (results.pop() if len(results) == 1 else None)


@pytest.mark.parametrize(("a", "b"), list(product(VALUES, repeat=2)))
def test_either_is_the_dual_of_both(a: Truth, b: Truth) -> None:
    assert either(a, b) is negated(both(negated(a), negated(b)))


@pytest.mark.parametrize(("a", "b", "c"), list(product(VALUES, repeat=3)))
def test_both_and_either_are_associative_commutative_and_distributive(a: Truth, b: Truth, c: Truth) -> None:
    for law, other in ((both, either), (either, both)):
        assert law(a, b) is law(b, a)
        assert law(a, law(b, c)) is law(law(a, b), c)
        assert law(a, other(b, c)) is other(law(a, b), law(a, c))


@pytest.mark.parametrize("values", [v for n in range(4) for v in product(VALUES, repeat=n)])
def test_many_values_are_combined_pairwise(values: tuple[Truth, ...]) -> None:
    together: Truth = True
    apart: Truth = False
    for value in values:
        together, apart = both(together, value), either(apart, value)
    assert all_of(values) is together
    assert any_of(values) is apart
