"""Working a word-list page: entering it, and deciding on each of its lines."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from termbase.acts import entries as entry_acts
from termbase.acts import history
from termbase.acts import pages as page_acts
from termbase.acts.accepting import accept_all_clear
from termbase.acts.drafting import ListLanguages, drafts
from termbase.acts.pages import reopen
from termbase.acts.sources import save_source
from termbase.errors import BadInput, Conflict, InUse
from termbase.fields.notes import own_words
from termbase.record.entries import Entry, Gender, Number, Origin, PartOfSpeech, RelationKind, Status, Term
from termbase.record.lines import (
    Equivalent,
    ParsedForm,
    ParsedLine,
    Printed,
    PrintedWhy,
    Sense,
    equivalent_path,
)
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Slip, SlipKind, Source, SourceKind
from termbase.search import likeness
from termbase.store import line_lists
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

PATTERN = write_pattern(STOCK["pocket list"])
TEXT = """41
belt, s. [strap] gwregys, m., pl. gwregysau.
" hold, s. [do.] gafael yn y gwregys, f.
bout, s. gornest, f.; codwm, m.
belt-hold, see belt hold
blow s [box ergyd

fall, s. 1. cwymp, m. 2. codwm, m.
"""
BELT, BELT_HOLD, BOUT, SEE, BLOW, FALL = range(1, 7)


@pytest.fixture
def source(store: Store) -> Source:
    with store.act("Nia", "added a source") as act:
        return save_source(
            act, Source("", "Glan 1898", SourceKind.WORD_LIST, "A Word-List", issued="1898", pattern=PATTERN)
        )


@pytest.fixture
def page(store: Store, source: Source) -> Page:
    with store.act("Nia", "entered page 41") as act:
        return page_acts.add_page(act, source.id, " 41 ", TEXT)


@pytest.fixture
def lines(store: Store, page: Page) -> list[Line]:
    with store.read() as reader:
        return sorted(reader.all(Line, page_id=page.id), key=lambda line: line.position)


def do(store: Store, what: Callable[[Act], object], undoes: int | None = None) -> int:
    """Run one act and return its number."""
    with store.act("Nia", "did", undoes=undoes) as act:
        what(act)
    assert act.id is not None
    return act.id


def undo(store: Store, act_id: int) -> int:
    return do(store, lambda act: history.undo(act, act_id), undoes=act_id)


def line_now(store: Store, line: Line) -> Line:
    with store.read() as reader:
        return reader.get(Line, line.id)


def everything(store: Store) -> dict[type, tuple[object, ...]]:
    """Return all records without their versions."""
    with store.read() as reader:
        return {
            kind: tuple(replace(record, version=0) for record in reader.all(kind))
            for kind in (Entry, Slip, Line, Page)
        }


def test_a_page_is_divided_into_lines_and_none_is_dropped(page: Page, lines: list[Line]) -> None:
    assert page.number == "41"
    assert "".join(line.text for line in lines) == TEXT.replace("\n\n", "\n")
    assert [line.state for line in lines] == [
        LineState.FURNITURE,
        LineState.NEW,
        LineState.NEW,
        LineState.NEW,
        LineState.NEW,
        LineState.UNPARSED,
        LineState.NEW,
    ]
    assert [line.first for line in lines] == [1, 2, 3, 4, 5, 6, 8]


@pytest.mark.parametrize(
    ("number", "text", "where"),
    [("", "a", "page"), ("42", " \n", "transcription"), ("42", "a\0b", "transcription"), ("41", "a", "page")],
)
def test_a_page_that_cannot_be_entered_says_which_field(
    store: Store, source: Source, page: Page, number: str, text: str, where: str
) -> None:
    with pytest.raises(BadInput) as raised:
        do(store, lambda act: page_acts.add_page(act, source.id, number, text))
    assert raised.value.where == where


def test_no_page_is_added_to_a_source_without_a_pattern(store: Store) -> None:
    with store.act("Nia", "added") as act:
        bare = save_source(act, Source("", "Bare", SourceKind.WORD_LIST, "Bare"))
    with pytest.raises(BadInput, match="no line pattern"):
        do(store, lambda act: page_acts.add_page(act, bare.id, "1", "a, s. b"))


def test_created_terms_have_grammar_and_every_name_has_a_slip(store: Store, lines: list[Line]) -> None:
    with store.act("Nia", "made") as act:
        (entry,) = page_acts.make(act, lines[BELT].id)
    head, welsh = entry.terms
    assert (head.text, head.language, head.origin, head.part_of_speech, head.status) == (
        "belt", "en", Origin.WORD_LIST, PartOfSpeech.NOUN, Status.PREFERRED,
    )  # fmt: skip
    assert (welsh.text, welsh.language, welsh.gender) == ("gwregys", "cy", Gender.MASCULINE)
    assert [(f.label, f.text) for f in welsh.forms] == [("plural", "gwregysau")]
    assert "strap" in entry.editor_note
    with store.read() as reader:
        slips = [slip for these in reader.slips_of([entry]).values() for slip in these]
    assert {(s.name, s.page, s.line, s.kind, s.text) for s in slips} == {
        (name, "41", "2", SlipKind.HEADWORD, lines[BELT].text.strip("\n")) for name in ("belt", "gwregys")
    }
    now = line_now(store, lines[BELT])
    assert (now.state, now.entry_ids) == (LineState.MADE, (entry.id,))


def test_a_ditto_mark_is_filled_in_and_the_printed_form_stays_in_the_quotation(
    store: Store, lines: list[Line]
) -> None:
    with store.act("Nia", "made") as act:
        (entry,) = page_acts.make(act, lines[BELT_HOLD].id)
    assert (entry.terms[0].text, entry.terms[0].printed) == ("belt hold", "")
    with store.read() as reader:
        assert '" hold' in {slip.name for slip in reader.all(Slip)}


def test_each_sense_becomes_an_entry(store: Store, lines: list[Line]) -> None:
    with store.act("Nia", "made") as act:
        made = page_acts.make(act, lines[FALL].id)
    assert [[t.text for t in e.terms] for e in made] == [["fall", "cwymp"], ["fall", "codwm"]]
    assert line_now(store, lines[FALL]).entry_ids == tuple(e.id for e in made)


def test_a_line_can_be_worked_only_once(store: Store, lines: list[Line]) -> None:
    do(store, lambda act: page_acts.make(act, lines[BELT].id))
    for again in (
        lambda act: page_acts.make(act, lines[BELT].id),
        lambda act: page_acts.attach(act, lines[BELT].id, "c0001"),
        lambda act: page_acts.set_aside(act, lines[BELT].id, "repeated"),
    ):
        with pytest.raises(InUse):
            do(store, again)


def test_attaching_adds_missing_names_but_no_second_preferred_one(store: Store, lines: list[Line]) -> None:
    with store.act("Nia", "made") as act:
        names = (
            Term("", "contest", "en", Origin.IN_USE, status=Status.PREFERRED),
            Term("", "gornest", "cy", Origin.IN_USE, status=Status.PREFERRED),
        )
        entry = entry_acts.save(act, Entry("", terms=names))
    with store.act("Nia", "attached") as act:
        entry = page_acts.attach(act, lines[BOUT].id, entry.id)
    assert [(t.text, t.status) for t in entry.terms] == [
        ("contest", Status.PREFERRED), ("gornest", Status.PREFERRED),
        ("bout", Status.ADMITTED), ("codwm", Status.ADMITTED),
    ]  # fmt: skip
    with store.read() as reader:
        witnessed = {t.text for t in entry.terms if reader.slips_of([entry]).get(t.id)}
    assert witnessed == {"gornest", "bout", "codwm"}


def test_setting_aside_needs_a_reason(store: Store, lines: list[Line]) -> None:
    with pytest.raises(BadInput) as raised:
        do(store, lambda act: page_acts.set_aside(act, lines[BLOW].id, "  "))
    assert raised.value.where == "reason"
    do(store, lambda act: page_acts.set_aside(act, lines[BLOW].id, " another  sport "))
    now = line_now(store, lines[BLOW])
    assert (now.state, now.reason) == (LineState.SET_ASIDE, own_words("another sport"))


def test_a_corrected_line_is_clean_and_keeps_the_misprint_as_printed(store: Store, lines: list[Line]) -> None:
    reading = ParsedLine(
        headword="blow",
        part_of_speech="noun",
        senses=(
            Sense(
                style="boxing", equivalents=(Equivalent("ergyd", forms=(ParsedForm("plural", "ergydion"),)),)
            ),
        ),
        printed=(Printed(equivalent_path(0, 0), "ergyl", PrintedWhy.BY_HAND),),
    )
    do(store, lambda act: page_acts.correct(act, lines[BLOW].id, reading))
    now = line_now(store, lines[BLOW])
    assert (now.state, now.corrected, now.text) == (LineState.NEW, True, lines[BLOW].text)
    with store.act("Nia", "made") as act:
        (entry,) = page_acts.make(act, lines[BLOW].id)
    assert [(t.text, t.printed) for t in entry.terms] == [("blow", ""), ("ergyd", "ergyl")]


def test_every_act_on_a_line_can_be_undone_one_after_another(store: Store, lines: list[Line]) -> None:
    states = [everything(store)]
    acts: list[int] = []
    for work in (
        lambda act: page_acts.make(act, lines[BELT].id),
        lambda act: page_acts.attach(act, lines[BELT_HOLD].id, "c0001"),
        lambda act: page_acts.attach(act, lines[BOUT].id, "c0001"),
        lambda act: page_acts.correct(act, lines[FALL].id, ParsedLine(headword="fall")),
        lambda act: page_acts.make(act, lines[FALL].id),
        lambda act: page_acts.set_aside(act, lines[BLOW].id, "illegible"),
        lambda act: reopen(act, lines[BLOW].id),
    ):
        acts.append(do(store, work))
        states.append(everything(store))
    for act_id, before in zip(reversed(acts), reversed(states[:-1]), strict=True):
        undo(store, act_id)
        now = everything(store)
        assert now[Slip] == before[Slip]
        assert now[Line] == before[Line]
        assert [e.terms for e in now[Entry]] == [e.terms for e in before[Entry]]  # type: ignore[attr-defined]


def test_an_undo_can_be_undone(store: Store, lines: list[Line]) -> None:
    made = do(store, lambda act: page_acts.make(act, lines[BELT].id))
    after = everything(store)
    taken_back = undo(store, made)
    undo(store, taken_back)
    assert everything(store) == after


def test_an_act_is_not_undone_if_its_line_has_changed_since(store: Store, lines: list[Line]) -> None:
    made = do(store, lambda act: page_acts.make(act, lines[BELT].id))
    do(store, lambda act: act.put(replace(act.get(Entry, "c0001"), usage_note="rare")))
    with pytest.raises(Conflict):
        undo(store, made)


@pytest.mark.parametrize(
    "work",
    [
        lambda act, line: page_acts.make(act, line.id),
        lambda act, line: page_acts.attach(act, line.id, "c0001"),
        lambda act, line: page_acts.set_aside(act, line.id, "repeated"),
    ],
)
def test_reopening_deletes_what_depended_on_the_line(
    store: Store, lines: list[Line], work: Callable[[Act, Line], object]
) -> None:
    do(store, lambda act: page_acts.make(act, lines[BOUT].id))
    before = everything(store)
    do(store, lambda act: work(act, lines[BELT]))
    do(store, lambda act: reopen(act, lines[BELT].id))
    now = everything(store)
    assert now[Slip] == before[Slip]
    assert now[Line] == before[Line]


def test_a_line_is_not_reopened_when_its_entry_has_been_worked_on(store: Store, lines: list[Line]) -> None:
    do(store, lambda act: page_acts.make(act, lines[BELT].id))
    do(store, lambda act: act.put(replace(act.get(Entry, "c0001"), usage_note="rare")))
    with pytest.raises(InUse, match="edited since"):
        do(store, lambda act: reopen(act, lines[BELT].id))


def test_deleting_an_entry_reopens_its_line(store: Store, lines: list[Line]) -> None:
    do(store, lambda act: page_acts.make(act, lines[BELT].id))
    do(store, lambda act: entry_acts.remove(act, "c0001"))
    now = line_now(store, lines[BELT])
    assert (now.state, now.entry_ids) == (LineState.NEW, ())


def test_changing_an_outdated_line_is_a_conflict(store: Store, lines: list[Line]) -> None:
    do(store, lambda act: page_acts.set_aside(act, lines[BELT].id, "repeated"))
    with pytest.raises(Conflict):
        do(store, lambda act: page_acts.unchanged_line(act, lines[BELT].id, lines[BELT].version))


def test_a_cross_reference_becomes_a_relation(store: Store, lines: list[Line]) -> None:
    do(store, lambda act: page_acts.make(act, lines[BELT_HOLD].id))
    do(store, lambda act: page_acts.make(act, lines[SEE].id))
    do(store, lambda act: page_acts.relate(act, lines[SEE].id, "c0001"))
    with store.read() as reader:
        (relation,) = reader.get(Entry, "c0002").relations
    assert (relation.kind, relation.target_id) == (RelationKind.SEE_ALSO, "c0001")
    with pytest.raises(InUse, match="already related"):
        do(store, lambda act: page_acts.relate(act, lines[SEE].id, "c0001"))
    with pytest.raises(BadInput, match="to an entry yet"):
        do(store, lambda act: page_acts.relate(act, lines[BELT].id, "c0001"))


def test_clear_lines_are_accepted_and_the_rest_say_why_not(
    store: Store, page: Page, lines: list[Line]
) -> None:
    do(store, lambda act: page_acts.make(act, lines[BELT].id))
    seen: list[tuple[int, int]] = []
    with store.act("Nia", "accepted") as act:
        report = accept_all_clear(
            act,
            line_lists.open_lines(act, page.id),
            likeness.Resembler(act),
            on_progress=lambda done, total: seen.append((done, total)),
        )
    left = {line.text.split(",")[0].split()[0]: why for line, why in report.left}
    assert left.keys() == {"belt-hold", "blow", "fall"}
    assert left["belt-hold"].startswith("only a cross-reference to “belt hold”")
    assert left["blow"].startswith("not read cleanly: ")
    assert "same Welsh name" in left["fall"]  # codwm is a name of bout, created just before
    assert len(report.made) == 3
    assert seen[-1] == (5, 5)
    with store.read() as reader:
        assert line_lists.count_of(reader, page.id).left == 3


def test_accepting_is_undone_as_one_act(store: Store, page: Page, lines: list[Line]) -> None:
    before = everything(store)
    accepted = do(
        store,
        lambda act: accept_all_clear(
            act, line_lists.open_lines(act, page.id), likeness.Resembler(act), also_alike=True
        ),
    )
    assert everything(store)[Entry]
    undo(store, accepted)
    assert everything(store) == before


def test_a_page_is_not_deleted_while_lines_belong_to_entries(
    store: Store, page: Page, lines: list[Line]
) -> None:
    do(store, lambda act: page_acts.make(act, lines[BELT].id))
    with pytest.raises(InUse):
        do(store, lambda act: page_acts.remove_page(act, page.id))
    do(store, lambda act: reopen(act, lines[BELT].id))
    do(store, lambda act: page_acts.remove_page(act, page.id))
    with store.read() as reader:
        assert reader.count(Line) == 0


def test_a_page_can_be_renumbered_but_not_to_the_number_of_another(
    store: Store, source: Source, page: Page
) -> None:
    do(store, lambda act: page_acts.add_page(act, source.id, "42", "duck, v. gostwng"))
    with pytest.raises(BadInput, match="already exists"):
        do(store, lambda act: page_acts.change_page(act, page, "42"))
    do(store, lambda act: page_acts.change_page(act, page, "41a"))
    with pytest.raises(Conflict):
        do(store, lambda act: page_acts.change_page(act, page, "41b"))


def test_a_draft_has_only_known_numbers_and_genders(store: Store) -> None:
    parsed = ParsedLine(headword="folk", number="plural", gender="of either kind", senses=(Sense(),))
    line = Line("l1", "w1", 1, "folk", parsed=parsed)
    (draft,) = drafts(line, ListLanguages("en", "cy"))
    assert (draft.terms[0].number, draft.terms[0].gender) == (Number.PLURAL, None)


def test_a_record_changed_twice_in_one_act_is_undone_completely(store: Store, lines: list[Line]) -> None:
    before = everything(store)

    def twice(act: Act) -> None:
        page_acts.make(act, lines[BELT].id)
        act.flush()
        page_acts.attach(act, lines[BOUT].id, "c0001")
        act.flush()
        reopen(act, lines[BOUT].id)

    undo(store, do(store, twice))
    assert everything(store) == before
