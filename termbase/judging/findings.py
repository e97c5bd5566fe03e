"""The result of a single check, and the functions that build it."""

from typing import TypeVar

from msgspec import Struct

from termbase.judging.logic import Truth
from termbase.judging.verdict import Missing, MissingKind, Params, Reason
from termbase.rules.clauses import AnyClause
from termbase.technique.profile import Stated

__all__ = ["Finding", "ask", "find"]

V = TypeVar("V")


class Finding(Struct, frozen=True, gc=False):
    """One clause checked against one attribute: the result, the reason, and what would settle it."""

    truth: Truth
    reason: Reason
    missing: tuple[Missing, ...] = ()


def find(
    truth: Truth,
    template: str,
    clause: AnyClause | None,
    attribute: str,
    said: Stated[V] | None,
    missing: tuple[Missing, ...] = (),
    params: Params = (),
) -> Finding:
    """Build the finding of a clause (`None` if the code is silent) about an attribute as stated."""
    clauses, sources = ((clause.id,), clause.sources) if clause else ((), ())
    basis, ref = (said.basis, said.ref) if said else (None, "")
    return Finding(truth, Reason(clauses, sources, attribute, basis, ref, truth, template, params), missing)


def ask(kind: MissingKind, subject: str, clause: AnyClause | None = None) -> tuple[Missing, ...]:
    """Return one thing to find out."""
    return (Missing(kind, subject, clause.id if clause else "", f"ask.{kind}"),)
