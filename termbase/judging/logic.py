"""Kleene's three values: True, False and `None` for *not known* (S. C. Kleene, Introduction to
Metamathematics, 1952, § 64, the strong tables; cited from memory)."""

from collections.abc import Iterable

__all__ = ["Truth", "all_of", "any_of", "both", "either"]

Truth = bool | None


def both(a: Truth, b: Truth) -> Truth:
    """Return *a* and *b*."""
    if a is False or b is False:
        return False
    return None if a is None or b is None else True


def either(a: Truth, b: Truth) -> Truth:
    """Return *a* or *b*."""
    if a is True or b is True:
        return True
    return None if a is None or b is None else False


def all_of(values: Iterable[Truth]) -> Truth:
    """Return True if every value is True, False if one is False; True for no values."""
    known = True
    for value in values:
        if value is False:
            return False
        known = known and value is not None
    return True if known else None


def any_of(values: Iterable[Truth]) -> Truth:
    """Return True if one value is True, False if all are False; False for no values."""
    known = True
    for value in values:
        if value is True:
            return True
        known = known and value is not None
    return False if known else None
