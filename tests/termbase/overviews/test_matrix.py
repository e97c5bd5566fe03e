"""Every technique under every code, verdicts that change with a code, and trials beside their verdicts."""

from dataclasses import replace
from functools import partial

import pytest

from termbase.acts import entries, rules, trials
from termbase.demo.loading import load
from termbase.judging.deciding import judge
from termbase.languages.alphabets import sort_key
from termbase.overviews.matrix import changed_verdicts, filter_rows, matrix, sort_rows, techniques
from termbase.overviews.trials import filter_trials, sort_trials, trial_rows
from termbase.record.entries import Entry, Origin, Term
from termbase.record.trials import Outcome, Trial, contradicts
from termbase.rules.clauses import RuleCode
from termbase.store.engine import Store

DEMO = load()
KICK = next(e.technique for e in DEMO.entries if e.id == "c0043")
HEEL = next(e.technique for e in DEMO.entries if e.id == "c0015")


@pytest.fixture
def filled(store: Store) -> Store:
    with store.act("Nia", "made two techniques") as act:
        for code in DEMO.codes:
            rules.save_code(act, replace(code, id="", version=0))
        for name, technique in (("shin-kick", KICK), ("back-heel", HEEL), ("smock", None)):
            term = Term("", name, "en", Origin.COINED)
            entries.save(act, Entry("", terms=(term,), technique=technique))
    return store


def test_the_matrix_has_the_judged_verdicts_in_alphabetical_order(filled: Store) -> None:
    with filled.read() as reader:
        codes = reader.all(RuleCode)
        rows = matrix(reader, codes, "en")
    assert [row.heads["en"].text for row in rows] == ["back-heel", "shin-kick"]
    assert KICK is not None
    assert [c.word for c in rows[1].cells] == [judge(KICK, code, names=["shin-kick"]).word for code in codes]


def test_a_ruling_overrides_the_verdict_and_both_are_kept(filled: Store) -> None:
    with filled.act("Nia", "ruled") as act:
        entries.rule(act, "c0001", "r1", "open", "The source is torn here.")
    with filled.read() as reader:
        rows = matrix(reader, reader.all(RuleCode), "en")
    cell = rows[1].cells[0]
    assert (cell.word, cell.stands) == ("breaks the rules", "open")
    assert filter_rows(rows, word="open", column=0) == (rows[1],)
    assert filter_rows(rows, ids={"c0002"}) == (rows[0],)
    assert [r.entry_id for r in sort_rows(rows, 0)] == ["c0002", "c0001"]


def test_striking_out_a_clause_lists_only_changed_verdicts(filled: Store) -> None:
    with filled.read() as reader:
        quarry = reader.get(RuleCode, "r2")
        named = techniques(reader, "en")
    without = replace(quarry, clauses=tuple(c for c in quarry.clauses if c.id != "Q5"))
    turns = changed_verdicts(named, quarry, without)
    assert [(t.named.name, t.before.word, t.after.word) for t in turns] == [("shin-kick", "fits", "open")]
    assert changed_verdicts(named, quarry, quarry) == ()


@pytest.mark.parametrize(
    ("outcome", "verdict", "against"),
    [
        (Outcome.WORKS, "breaks the rules", True),
        (Outcome.FAILS, "fits", True),
        (Outcome.WORKS_CHANGED, "breaks the rules", False),
        (Outcome.FAILS, "breaks the rules", False),
        (Outcome.WORKS, "open", False),
        (Outcome.FAILS, "", False),
    ],
)
def test_a_trial_contradicts_only_a_verdict_that_cannot_also_be_right(
    outcome: Outcome, verdict: str, against: bool
) -> None:
    assert contradicts(outcome, verdict) is against


def test_trials_appear_beside_the_verdict_and_can_be_filtered_and_sorted(filled: Store) -> None:
    with filled.act("Nia", "tried") as act:
        trials.save(act, Trial("", "c0001", "2025-03", Outcome.WORKS, code_id="r1", people="R.A."))
        trials.save(
            act, Trial("", "c0002", "2024-12-01", Outcome.WORKS, code_id="r1", place="Glanmorwen hall")
        )
        trials.save(act, Trial("", "c0003", "2026", Outcome.FAILS))
    with filled.read() as reader:
        rows = trial_rows(reader)
    assert [row.verdict for row in rows] == ["breaks the rules", "fits", ""]
    assert [row.contradicts for row in rows] == [True, False, False]
    assert filter_trials(rows, contradicting=True) == rows[:1]
    assert filter_trials(rows, text="HALL back") == rows[1:2]
    assert filter_trials(rows, outcome="fails") == rows[2:]
    assert filter_trials(rows, code_id="r1") == rows[:2]
    by_name = sort_trials(rows, "name", partial(sort_key, tag="en"), "en")
    assert [row.heads["en"].text for row in by_name] == ["back-heel", "shin-kick", "smock"]
    by_date = sort_trials(rows, "date", partial(sort_key, tag="en"), "en", turned=True)
    assert [row.trial.date for row in by_date] == ["2026", "2025-03", "2024-12-01"]
