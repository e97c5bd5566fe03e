"""Proof before print: the findings depend on the selection, and every finding says how to fix it."""

from dataclasses import replace
from pathlib import Path

import pytest

from exports.glossary.book.book import Selection
from exports.glossary.book.proofing import TITLES, proof_before_print
from termbase.overviews.articles import Library
from termbase.proofing.checks import Finding
from termbase.record.entries import Entry, Origin, Term
from termbase.record.people import Termbase
from termbase.record.sources import Source, SourceKind
from termbase.store.engine import Store


def records_of(found: tuple[Finding, ...], check: str) -> list[str]:
    return [f.record_id for f in found if f.check == check]


def test_only_the_selection_is_proofed(library: Library) -> None:
    whole, ready = (proof_before_print(library, Selection(drafts=drafts)) for drafts in (True, False))
    assert set(records_of(whole, "reading-open")) == {"c0002", "c0003", "c0004", "c0005"}
    assert {f.record_id for f in ready if f.kind == "entry"} == {"c0001"}


def test_a_reference_to_a_draft_is_reported_when_drafts_are_left_out(library: Library) -> None:
    (found,) = [f for f in proof_before_print(library, Selection(drafts=False)) if f.check == "pointer-lost"]
    assert found.record_id == "c0001"
    assert "c0002" in found.what
    assert "Sign c0002" in found.fix
    assert not records_of(proof_before_print(library), "pointer-lost")


def test_open_verdicts_are_reported_for_the_chosen_codes_only(library: Library) -> None:
    whole = [f for f in proof_before_print(library) if f.check == "open-verdict"]
    one = [f for f in proof_before_print(library, Selection(codes=("r1",))) if f.check == "open-verdict"]
    assert any("Open-hold matches" in f.what for f in whole)
    assert not any("Open-hold matches" in f.what for f in one)


def test_choices_missing_from_the_termbase_are_reported(library: Library) -> None:
    found = proof_before_print(library, Selection(codes=("r9",), vernaculars=("ga",)))
    messages = " ".join(f.what for f in found if f.check == "choice-unknown")
    assert "“r9”" in messages
    assert "“ga”" in messages


def test_every_finding_has_a_title_and_a_fix(library: Library) -> None:
    for chosen in (Selection(), Selection(drafts=False), Selection(vernaculars=())):
        for finding in proof_before_print(library, chosen):
            assert finding.check in TITLES
            assert finding.fix


def test_progress_is_reported(library: Library) -> None:
    seen: list[tuple[int, int]] = []
    proof_before_print(library, on_progress=lambda done, total: seen.append((done, total)))
    assert seen[-1] == (5, 5)


def test_only_the_chosen_entries_are_checked(library: Library) -> None:
    seen: list[tuple[int, int]] = []
    proof_before_print(library, Selection(only=frozenset({"c0002"})), lambda *progress: seen.append(progress))
    assert seen[-1] == (1, 1)


@pytest.fixture
def strange(tmp_path: Path) -> Store:
    """A termbase without a licence, with a letter that no font has and an entry in a third language."""
    store = Store.create(str(tmp_path / "s.sqlite"), Termbase(title="Words", vernaculars=("cy",)), by="Nia")
    with store.act("Nia", "filled it") as act:
        act.add(Entry("c0001", None, (Term("t1", "codwm 投", "cy", Origin.COINED),)))
        act.add(Entry("c0002", None, (Term("t2", "treascairt", "ga", Origin.IN_USE),), editor_note="投"))
    return store


def test_problems_of_print_are_reported(strange: Store) -> None:
    with strange.read() as reader:
        found = proof_before_print(Library(reader))
    assert records_of(found, "no-face") == ["c0001"], "an editor's note is not printed"
    assert "U+6295" in next(f.what for f in found if f.check == "no-face")
    assert records_of(found, "unnamed-in-print") == ["c0002"]
    assert records_of(found, "statement-gaps") == ["termbase", "termbase"]


def test_characters_of_the_bibliography_and_the_title_page_are_checked_too(strange: Store) -> None:
    with strange.act("Nia", "added a source") as act:
        act.add(Source("s1", "Vale 1898", SourceKind.OTHER, "投", note="技"))
        act.put(replace(act.termbase(), rights="© 投"))
    with strange.read() as reader:
        found = proof_before_print(Library(reader))
    assert records_of(found, "no-face") == ["termbase", "s1", "c0001"]


def test_an_empty_selection_is_reported(strange: Store) -> None:
    with strange.read() as reader:
        found = proof_before_print(Library(reader), Selection(drafts=False))
    assert records_of(found, "nothing-chosen") == ["termbase"]


def test_the_library_is_unchanged(library: Library) -> None:
    before = (library.codes, replace(library.termbase))
    proof_before_print(library, Selection(codes=(), vernaculars=()))
    assert (library.codes, library.termbase) == before
