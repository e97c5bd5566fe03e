"""List trials with what was tried, under which code, and the verdict beside the outcome."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final, Literal

from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.overviews.matrix import verdict_on
from termbase.record.entries import Entry, Term, heads
from termbase.record.trials import Trial, contradicts
from termbase.rules.clauses import RuleCode
from termbase.store.reading import Reader

__all__ = ["ORDERS", "Order", "TrialRow", "filter_trials", "sort_trials", "trial_rows"]

Order = Literal["date", "name", "code", "outcome"]
ORDERS: Final[tuple[Order, ...]] = ("date", "name", "code", "outcome")


@dataclass(frozen=True, slots=True)
class TrialRow:
    """One trial.

    Attributes:
        trial: the record.
        heads: head terms of what was tried, by language.
        code: under which code it was tried, if any.
        verdict: the final verdict under that code (rulings count); empty if nothing was judged.
        contradicts: whether outcome and verdict cannot both be right.
    """

    trial: Trial
    heads: dict[str, Term]
    code: RuleCode | None
    verdict: str
    contradicts: bool


def trial_rows(reader: Reader, trials: Iterable[Trial] | None = None) -> tuple[TrialRow, ...]:
    """Return rows for these trials, or for all, in their order."""
    these = reader.all(Trial) if trials is None else tuple(trials)
    entries = reader.many(Entry, (t.entry_id for t in these))
    codes = {code.id: code for code in reader.all(RuleCode)}
    return tuple(_row(t, entries.get(t.entry_id), codes.get(t.code_id)) for t in these)


def filter_trials(
    rows: Iterable[TrialRow],
    *,
    text: str = "",
    outcome: str = "",
    code_id: str = "",
    contradicting: bool = False,
) -> tuple[TrialRow, ...]:
    """Filter trials by the words of a text, an outcome, a code, or whether they contradict a verdict; an
    empty argument filters nothing."""
    words = text.casefold().split()

    def kept(row: TrialRow) -> bool:
        return (
            (not outcome or row.trial.outcome.value == outcome)
            and (not code_id or row.trial.code_id == code_id)
            and (not contradicting or row.contradicts)
            and all(word in _text(row) for word in words)
        )

    return tuple(row for row in rows if kept(row))


def sort_trials(
    rows: Iterable[TrialRow],
    order: Order,
    name_key: Callable[[str], bytes],
    language: str,
    *,
    turned: bool = False,
) -> tuple[TrialRow, ...]:
    """Sort trials by date (the EDTF sort key), by the name of what was tried, by code or by outcome.

    Args:
        rows: the trials.
        order: what to sort by.
        name_key: the sort key of a name in a language.
        language: the language of the names to sort by; a trial without such a name uses its first name.
        turned: True for descending order.
    """

    def name(row: TrialRow) -> bytes:
        known = row.heads.get(language) or next(iter(row.heads.values()), None)
        return name_key(known.text if known else "")

    keys: dict[Order, Callable[[TrialRow], tuple[object, ...]]] = {
        "date": lambda row: (_when(row.trial.date),),
        "name": lambda row: (name(row), _when(row.trial.date)),
        "code": lambda row: (row.code.name if row.code else "~", name(row)),
        "outcome": lambda row: (row.trial.outcome.value, name(row)),
    }
    return tuple(sorted(rows, key=keys[order], reverse=turned))


def _row(trial: Trial, entry: Entry | None, code: RuleCode | None) -> TrialRow:
    verdict = _final_verdict(entry, code) if entry is not None and code is not None else ""
    known = heads(entry) if entry is not None else {}
    return TrialRow(trial, known, code, verdict, contradicts(trial.outcome, verdict))


def _final_verdict(entry: Entry, code: RuleCode) -> str:
    if entry.technique is None:
        return ""
    ruling = next((r for r in entry.rulings if r.code_id == code.id), None)
    return ruling.verdict if ruling else verdict_on(entry, code).word


def _text(row: TrialRow) -> str:
    trial = row.trial
    names = " ".join(term.text for term in row.heads.values())
    own = (trial.place, trial.people, trial.holds, trial.done, trial.change, trial.safety, trial.injuries)
    return " ".join((trial.id, names, row.code.name if row.code else "", trial.date, *own)).casefold()


def _when(date: str) -> str:
    try:
        return edtf.parse(date).sort_key()
    except BadInput:
        return "~"
