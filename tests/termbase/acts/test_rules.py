"""Saving, importing and deleting rule codes."""

from dataclasses import replace

import pytest

from termbase.acts import entries, history, rules, trials
from termbase.demo.loading import load
from termbase.errors import BadInput, Conflict, InUse, NotFound
from termbase.record.entries import Entry, Origin, Term
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import LegRule, Limits, RuleCode
from termbase.rules.files import read_codes, write_codes
from termbase.store.engine import Store

FAIR = replace(load().codes[0], id="", version=0)


def saved(store: Store, code: RuleCode = FAIR) -> RuleCode:
    with store.act("Nia", "wrote a code") as act:
        return rules.save_code(act, code)


def test_a_code_is_stored_as_written(store: Store) -> None:
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
        (
            replace(FAIR, clauses=(LegRule(id="9", stance="barred", limits=Limits(years="once")),)),
            "clause 9, limits, years",
        ),
    ],
    ids=["no name", "no EDTF", "a number twice", "years"],
)
def test_an_invalid_code_is_refused_with_its_place(store: Store, code: RuleCode, where: str) -> None:
    with pytest.raises(BadInput) as caught:
        saved(store, code)
    assert caught.value.where == where
    with store.read() as reader:
        assert reader.all(RuleCode) == ()


def test_the_second_of_two_people_sees_a_conflict(store: Store) -> None:
    written = saved(store)
    saved(store, replace(written, note="mine"))
    with pytest.raises(Conflict):
        saved(store, replace(written, note="theirs"))


def kept(store: Store) -> dict[str, tuple[str, str]]:
    with store.read() as reader:
        return {c.id: (c.name, c.note) for c in reader.all(RuleCode)}


def test_a_file_keeps_its_ids_and_changes_codes_of_the_same_id_and_name(store: Store) -> None:
    written = saved(store)
    other = replace(FAIR, name="Another", clauses=())
    rows = [
        replace(FAIR, id=written.id, note="newer"),
        replace(other, id="r77"),
        replace(other, id="fair-2", name="B"),
    ]
    with store.act("Nia", "imported a file") as act:
        taken = rules.import_codes(act, rows)
    assert [code.id for code in taken] == [written.id, "r77", "fair-2"]
    assert kept(store) == {
        written.id: (FAIR.name, "newer"), "r77": ("Another", FAIR.note), "fair-2": ("B", FAIR.note),
    }  # fmt: skip
    assert saved(store, replace(FAIR, name="Next")).id == "r78"
    with store.read() as reader:
        text = write_codes(reader.all(RuleCode))
    before = kept(store)
    with store.act("Nia", "imported it again") as act:
        rules.import_codes(act, read_codes(text, "codes.toml"))
    assert kept(store) == before


@pytest.mark.parametrize(
    ("row", "what", "replaced", "as_new"),
    [
        ({"id": "r1", "name": "Other"}, "The id r1 of “Other” already belongs to “Fair” here.",
         {"r1": "Other", "r2": "Quarry"}, {"r1": "Fair", "r2": "Quarry", "r4": "Other"}),
        ({"id": "r9", "name": "Fair"}, "“Fair” has the id r1 here but r9 in the file.",
         {"r1": "Fair", "r2": "Quarry"}, {"r1": "Fair", "r2": "Quarry", "r4": "Fair (2)"}),
        ({"id": "r1", "name": "Quarry"}, "The id r1 of “Quarry” already belongs to “Fair” here.",
         {"r1": "Fair", "r2": "Quarry"}, {"r1": "Fair", "r2": "Quarry", "r4": "Quarry (2)"}),
        ({"id": "r3", "name": "Other"}, "The id r3 of “Other” already belongs to “Gone” here.",
         {"r1": "Fair", "r2": "Quarry", "r3": "Other"}, {"r1": "Fair", "r2": "Quarry", "r4": "Other"}),
    ],
)  # fmt: skip
def test_a_taken_id_or_name_is_asked_about(
    store: Store, row: dict[str, str], what: str, replaced: dict[str, str], as_new: dict[str, str]
) -> None:
    for name in ("Fair", "Quarry", "Gone"):
        saved(store, replace(FAIR, name=name))
    with store.act("Nia", "removed one") as act:
        rules.remove_code(act, "r3")
    code = replace(FAIR, note="of the file", **row)
    before = kept(store)
    with pytest.raises(rules.Collisions) as asked, store.act("Nia", "imported a file") as act:
        rules.import_codes(act, [code], where="codes.toml")
    assert [(fault.what, fault.where) for fault in asked.value.rows] == [
        (what, f"codes.toml, code “{code.id}”")
    ]
    assert kept(store) == before
    choices: tuple[tuple[rules.OnCollision, dict[str, str]], ...] = (
        ("as new", as_new),
        ("replace", replaced),
    )
    for collision, wanted in choices:
        with store.act("Nia", "imported a file") as act:
            rules.import_codes(act, [code], collision=collision)
        assert {code_id: name for code_id, (name, _) in kept(store).items()} == wanted
        assert sum(note == "of the file" for _, note in kept(store).values()) == 1
        done = act.id
        assert done is not None
        with store.act("Nia", "undid it", undoes=done) as act:
            history.undo(act, done)


@pytest.mark.parametrize("code_id", ["new", "import", "a b", "../x", "é", "r" * 33, "-r1"])
def test_an_id_that_no_address_can_hold_is_refused(store: Store, code_id: str) -> None:
    with pytest.raises(BadInput, match="cannot be the id of a rule code"), store.act("Nia", "x") as act:
        rules.import_codes(act, [replace(FAIR, id=code_id)])


def test_a_file_with_one_bad_code_changes_nothing_and_a_good_import_can_be_undone(store: Store) -> None:
    with pytest.raises(BadInput), store.act("Nia", "imported a file") as act:
        rules.import_codes(act, [FAIR, replace(FAIR, name="Other", period="x")])
    with pytest.raises(BadInput), store.act("Nia", "imported a file") as act:
        rules.import_codes(act, [FAIR, FAIR])
    with store.act("Nia", "imported a file") as act:
        rules.import_codes(act, [FAIR])
    done = act.id
    assert done is not None
    with store.act("Nia", "undid it", undoes=done) as act:
        history.undo(act, done)
    with store.read() as reader:
        assert reader.all(RuleCode) == ()


def test_a_code_in_use_is_not_deleted(store: Store) -> None:
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


def test_two_codes_cannot_have_the_same_name(store: Store) -> None:
    with store.act("Nia", "added") as act:
        first = rules.save_code(act, RuleCode("", "Fair rules"))
    with pytest.raises(BadInput, match="already has the name “Fair rules”"), store.act("Nia", "added") as act:
        rules.save_code(act, RuleCode("", " Fair  rules "))
    with store.act("Nia", "changed") as act:
        assert rules.save_code(act, replace(first, note="As printed.")).name == "Fair rules"
