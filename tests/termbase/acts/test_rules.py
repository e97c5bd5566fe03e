"""Writing rule codes: what is refused, what is replaced, what cannot be taken away."""

from dataclasses import replace

import pytest

from termbase.acts import entries, history, rules, trials
from termbase.demo import load
from termbase.entries import Entry, Origin, Term
from termbase.errors import BadInput, Conflict, InUse, NotFound
from termbase.rulecodes import LegRule, Limits, RuleCode
from termbase.store import Store
from termbase.trials import Outcome, Trial

FAIR = replace(load().codes[0], id="", version=0)


def saved(store: Store, code: RuleCode = FAIR) -> RuleCode:
    with store.act("Nia", "wrote a code") as act:
        return rules.save_code(act, code)


def test_a_code_is_kept_as_it_was_written(store: Store) -> None:
    written = saved(store)
    with store.read() as reader:
        assert reader.get(RuleCode, written.id) == written
        assert rules.code_named(reader, FAIR.name) == written
        assert rules.code_named(reader, written.id) == written
        with pytest.raises(NotFound):
            rules.code_named(reader, "Rules of nowhere")
    assert written.clauses == FAIR.clauses


@pytest.mark.parametrize(
    ("code", "where"),
    [
        (replace(FAIR, name="  "), "name"),
        (replace(FAIR, period="long ago"), "period"),
        (replace(FAIR, clauses=(*FAIR.clauses, FAIR.clauses[0])), "clauses"),
        (replace(FAIR, clauses=(LegRule(id="9", stance="barred", limits=Limits(years="once")),)), "clause 9"),
    ],
    ids=["no name", "no EDTF", "a number twice", "years"],
)
def test_a_code_that_cannot_be_taken_is_refused_with_its_place(
    store: Store, code: RuleCode, where: str
) -> None:
    with pytest.raises(BadInput) as caught:
        saved(store, code)
    assert caught.value.where == where
    with store.read() as reader:
        assert reader.all(RuleCode) == ()


def test_the_second_of_two_people_is_told(store: Store) -> None:
    written = saved(store)
    saved(store, replace(written, note="mine"))
    with pytest.raises(Conflict):
        saved(store, replace(written, note="theirs"))


def test_a_file_replaces_codes_of_the_same_name_and_adds_the_others(store: Store) -> None:
    written = saved(store)
    other = replace(FAIR, name="Another", clauses=())
    with store.act("Nia", "took in a file") as act:
        taken = rules.import_codes(act, [replace(FAIR, id="r77", note="newer"), replace(other, id="r1")])
    assert [code.id for code in taken] == [written.id, "r2"]
    with store.read() as reader:
        assert [(c.name, c.note) for c in reader.all(RuleCode)] == [
            (FAIR.name, "newer"),
            ("Another", FAIR.note),
        ]


def test_a_file_with_one_bad_code_changes_nothing_and_undo_takes_a_good_one_back(store: Store) -> None:
    with pytest.raises(BadInput), store.act("Nia", "took in a file") as act:
        rules.import_codes(act, [FAIR, replace(FAIR, name="Other", period="x")])
    with pytest.raises(BadInput), store.act("Nia", "took in a file") as act:
        rules.import_codes(act, [FAIR, FAIR])
    with store.act("Nia", "took in a file") as act:
        rules.import_codes(act, [FAIR])
    done = act.id
    assert done is not None
    with store.act("Nia", "took it back", undoes=done) as act:
        history.undo(act, done)
    with store.read() as reader:
        assert reader.all(RuleCode) == ()


def test_a_code_in_use_stays(store: Store) -> None:
    written = saved(store)
    with store.act("Nia", "tried") as act:
        entry = entries.save(act, Entry("", terms=(Term("", "hank", "en", Origin.COINED),)))
        trial = trials.save(act, Trial("", entry.id, "2025", Outcome.WORKS, code_id=written.id))
    with pytest.raises(InUse, match="in use by 1 trial"), store.act("Nia", "removed") as act:
        rules.remove_code(act, written.id)
    with store.act("Nia", "removed both") as act:
        trials.remove(act, trial.id)
        act.flush()
        rules.remove_code(act, written.id)
    with store.read() as reader:
        assert reader.all(RuleCode) == ()


def test_two_codes_cannot_have_one_name(store: Store) -> None:
    with store.act("Nia", "added") as act:
        first = rules.save_code(act, RuleCode("", "Fair rules"))
    with pytest.raises(BadInput, match="is called “Fair rules” too"), store.act("Nia", "added") as act:
        rules.save_code(act, RuleCode("", " Fair  rules "))
    with store.act("Nia", "changed") as act:
        assert rules.save_code(act, replace(first, note="As printed.")).name == "Fair rules"
