"""Trimming pages in the record: lines linked to entries, lines set aside, entries left unchanged."""

from collections.abc import Sequence
from dataclasses import replace

import pytest

from termbase.acts import entries as entry_acts
from termbase.acts import history
from termbase.acts import pages as page_acts
from termbase.acts.rules import save_code
from termbase.acts.trimming import Trim, TrimReport, judge_pages, set_aside_breaches
from termbase.codes.lines import Aside
from termbase.codes.wording import CODES, statement_text
from termbase.demo.loading import load
from termbase.errors import Conflict
from termbase.record.entries import Entry, Origin, Term
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.store.engine import Store
from termbase.wordlists.trimming import NOTE_WORDINGS, Group
from tests.wordlists import described_entry, word_list_page

DEMO = load()
TECHNIQUES = {e.id: e.technique for e in DEMO.entries}
TEXT = """41
shin-kick, s. [strap] cic grimog, f.
shin kicks, s. [strap] ciciau, f.
back-heel, s. [strap] bachiad sawdl, m.
counter, s. [box] gwrthergyd, m.
kick, s. 1. [strap] cic, f. 2. [box] ergyd, f.
twist, s. [strap] tro, m.
"""
SHIN, SHINS, HEEL, COUNTER, KICK, TWIST = range(6)


@pytest.fixture
def page(store: Store) -> Page:
    """A page, with the Fair rules, a kick (c0001), a trip (c0002) and a thing without technique (c0003)."""
    with store.act("Nia", "entered page 41") as act:
        save_code(act, replace(next(c for c in DEMO.codes if c.id == "r1"), id="", version=0))
        for english, welsh, technique in (
            ("shin-kick", "cic grimog", "c0043"),
            ("back-heel", "bachiad sawdl", "c0015"),
            ("twist", "tro", ""),
        ):
            described_entry(act, english, welsh, TECHNIQUES.get(technique))
        return word_list_page(act, TEXT)


def judged(store: Store, page: Page) -> Trim:
    with store.read() as reader:
        source = reader.get(Source, page.source_id)
        return judge_pages(reader, source, reader.all(Page, source_id=source.id), reader.get(RuleCode, "r1"))


def lines(store: Store) -> list[Line]:
    with store.read() as reader:
        return [x for x in reader.all(Line) if x.state is not LineState.FURNITURE]


def set_aside(
    store: Store,
    page: Page,
    *,
    chosen: Sequence[Line] | None = None,
    labels: Sequence[str] = (),
    notes: bool = False,
) -> tuple[TrimReport, int]:
    with store.act("Nia", "trimmed") as act:
        report = set_aside_breaches(
            act,
            act.get(Source, page.source_id),
            (page,),
            act.get(RuleCode, "r1"),
            other_styles=labels,
            chosen=None if chosen is None else {x.id: x.version for x in chosen},
            with_notes=notes,
        )
    return report, act.id or 0


def test_lines_are_judged_as_the_entries_whose_names_their_headwords_are(store: Store, page: Page) -> None:
    found = judged(store, page)
    assert [one.lot for one in found.lines] == [
        Group.GOES,
        Group.GOES,
        Group.STAYS,
        Group.OPEN,
        Group.OPEN,
        Group.OPEN,
    ]
    assert [s.entry_id for s in found.lines[SHIN].senses[0].standings] == ["c0001"]
    assert found.lines[SHIN].certain
    assert found.lines[TWIST].senses[0].standings[0].name == "twist"
    assert dict(found.labels) == {"strap": 5, "box": 2}


def test_a_line_matching_only_the_headword_needs_a_check(store: Store, page: Page) -> None:
    shins = judged(store, page).lines[SHINS]  # English is a form of the entry's, Welsh another word
    assert (shins.lot, shins.certain) == (Group.GOES, False)
    report, _ = set_aside(store, page)
    assert report.aside == (lines(store)[SHIN].id,)
    assert [line.id for line, _ in report.left] == [shins.line.id]


def test_a_welsh_name_alone_links_nothing(store: Store, page: Page) -> None:
    with store.act("Nia", "entered page 42") as act:
        page_acts.add_page(act, page.source_id, "42", "hack, s. [strap] cic grimog, f.\n")
    assert judged(store, page).lines[-1].senses[0].tie.bond == ""


def test_the_reason_is_kept_and_one_undo_restores_everything(store: Store, page: Page) -> None:
    before = lines(store)
    report, act_id = set_aside(store, page, labels=("box",))
    now = lines(store)
    assert report.aside == (before[SHIN].id, before[COUNTER].id)
    assert statement_text(now[SHIN].reason).startswith(
        "breaks the rules under Glanmorwen Fair rules (1868), judged as c0001"
    )
    assert now[COUNTER].reason == Aside.OTHER_STYLE(label="box")
    assert len(now) == len(before)
    with store.act("Nia", "undid", undoes=act_id) as act:
        history.undo(act, act_id)
    assert [replace(x, version=0) for x in lines(store)] == [replace(x, version=0) for x in before]


def test_a_line_in_an_entry_is_never_set_aside_and_its_entry_is_noted_once(store: Store, page: Page) -> None:
    with store.act("Nia", "attached") as act:
        page_acts.attach(act, lines(store)[SHIN].id, "c0001")
    attached = lines(store)[SHIN]
    report, _ = set_aside(store, page)
    assert next((line.id, why) for line, why in report.left) == (attached.id, "it belongs to c0001")
    with store.read() as reader:
        names, slips = reader.get(Entry, "c0001").terms, reader.slips_of([reader.get(Entry, "c0001")])
    report, _ = set_aside(store, page, chosen=(attached,))
    assert (report.aside, report.noted) == ((), ("c0001",))
    assert set_aside(store, page, notes=True)[0].noted == ()
    with store.read() as reader:
        entry = reader.get(Entry, "c0001")
        assert reader.slips_of([entry]) == slips
    assert entry.terms == names
    assert entry.editor_note.count("Trimmed: breaks the rules under") == 1
    assert entry.editor_note.endswith("(Glan 1898, p. 41, line 2)")
    assert lines(store)[SHIN] == attached


def test_a_note_in_an_earlier_wording_counts_as_the_same_note(store: Store, page: Page) -> None:
    earlier = (
        "Trimmed: breaks the rules under Glanmorwen Fair rules (1868): The leg kicks, and may not. "
        "(Glan 1898, p. 41, line 2)"
    )
    with store.act("Nia", "attached") as act:
        page_acts.attach(act, lines(store)[SHIN].id, "c0001")
        entry = act.get(Entry, "c0001")
        entry_acts.save(act, replace(entry, editor_note=f"Ask Gwen.\n{earlier}\nDone."))
    assert set_aside(store, page, notes=True)[0].noted == ()
    with store.act("Nia", "changed the note to another line's") as act:
        entry = act.get(Entry, "c0001")
        entry_acts.save(act, replace(entry, editor_note=earlier.replace("line 2", "line 22")))
    assert set_aside(store, page, notes=True)[0].noted == ("c0001",)


def test_todays_sentences_are_among_the_known_wordings_of_a_note() -> None:
    assert all(CODES[code].one in wordings for code, wordings in NOTE_WORDINGS.items())


def test_entries_that_a_line_made_judge_its_senses_one_by_one(store: Store, page: Page) -> None:
    with store.act("Nia", "made") as act:
        page_acts.make(act, lines(store)[KICK].id)
        entry_acts.save(act, replace(act.get(Entry, "c0004"), technique=TECHNIQUES["c0043"]))
    kick = judged(store, page).lines[KICK]
    assert [(s.tie.bond, s.lot) for s in kick.senses] == [("made", Group.GOES), ("made", Group.OPEN)]
    assert judged(store, page).with_other_styles(("box",)).lines[KICK].lot is Group.GOES


def test_a_ruling_overrides_the_verdict(store: Store, page: Page) -> None:
    with store.act("Nia", "ruled") as act:
        entry_acts.rule(act, "c0001", "r1", "fits", "It is a trip here.")
    assert judged(store, page).lines[SHIN].lot is Group.STAYS


def test_lines_changed_meanwhile_or_no_longer_in_breach_refuse_the_whole_act(
    store: Store, page: Page
) -> None:
    seen = lines(store)
    with store.act("Nia", "set aside") as act:
        page_acts.set_aside(act, seen[SHIN].id, "illegible")
    with pytest.raises(Conflict, match="nothing was set aside"):
        set_aside(store, page, chosen=(seen[SHIN], seen[SHINS]))
    with pytest.raises(Conflict):
        set_aside(store, page, chosen=(seen[HEEL],))
    assert lines(store)[SHINS].state is LineState.NEW
    assert judged(store, page).set_aside == 1


def test_homonyms_that_differ_leave_the_line_open(store: Store, page: Page) -> None:
    with store.act("Nia", "made a homonym") as act:
        term = Term("", "back heel", "en", Origin.IN_USE)
        entry_acts.save(act, Entry("", terms=(term,), technique=TECHNIQUES["c0043"]))
        page_acts.add_page(act, page.source_id, "42", "back-heel, see heel\n")
    found = judged(store, page)
    assert found.lines[HEEL].lot is Group.STAYS  # its Welsh tells which of them it is
    assert [s.entry_id for s in found.lines[-1].senses[0].standings] == ["c0002", "c0004"]
    assert found.lines[-1].lot is Group.OPEN
