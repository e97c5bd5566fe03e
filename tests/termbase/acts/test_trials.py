"""Recording trials."""

from dataclasses import replace

import pytest

from termbase.acts import entries, trials
from termbase.errors import BadInput, Conflict
from termbase.record.entries import Entry, Origin, Term
from termbase.record.trials import Outcome, Trial
from termbase.store.engine import Store

TRIAL = Trial("", "c0001", "2025-03-08", Outcome.WORKS_CHANGED, change="From the knee.", people="R.A., D.P.")


@pytest.fixture
def filled(store: Store) -> Store:
    with store.act("Nia", "created an entry") as act:
        entries.save(act, Entry("", terms=(Term("", "hank", "en", Origin.COINED),)))
    return store


def save(store: Store, trial: Trial) -> Trial:
    with store.act("Nia", "recorded a trial") as act:
        return trials.save(act, trial)


def test_a_trial_is_saved_changed_and_deleted(filled: Store) -> None:
    kept = save(filled, TRIAL)
    assert (kept.id, kept.version) == ("m1", 1)
    changed = save(filled, replace(kept, injuries="None."))
    with pytest.raises(Conflict):
        save(filled, replace(kept, injuries="A bruise."))
    with filled.act("Nia", "removed it") as act:
        trials.remove(act, changed.id)
    with filled.read() as reader:
        assert reader.all(Trial) == ()
        assert [c.after is None for c in reader.history(Trial, "m1")] == [True, False, False]


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"date": ""}, "date"),
        ({"date": "last May"}, "date"),
        ({"entry_id": "c0099"}, "entry"),
        ({"code_id": "r9"}, "rule code"),
    ],
    ids=["no date", "no EDTF", "no such entry", "no such code"],
)
def test_an_invalid_trial_is_refused_with_its_field(
    filled: Store, change: dict[str, str], where: str
) -> None:
    with pytest.raises(BadInput) as caught:
        save(filled, replace(TRIAL, **change))  # type: ignore[arg-type]
    assert caught.value.where == where


def test_a_trial_that_works_with_a_change_states_the_change(filled: Store) -> None:
    with pytest.raises(BadInput) as caught:
        save(filled, replace(TRIAL, change=" "))
    assert caught.value.where == "change"
