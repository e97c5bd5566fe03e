"""Merging and separating entries: nothing is lost, and the old id still leads somewhere."""

from dataclasses import replace

import pytest

from termbase.acts import entries, history, merging
from termbase.acts.rules import save_code
from termbase.acts.sources import save_slip, save_source
from termbase.acts.trials import save as save_trial
from termbase.codes.deeds import Reopened
from termbase.errors import BadInput, Conflict, InUse, NotFound
from termbase.overviews.articles import Library
from termbase.record.entries import (
    Analogue,
    Definition,
    Entry,
    Gender,
    InflectedForm,
    Origin,
    Redirect,
    Relation,
    RelationKind,
    Ruling,
    Status,
    Term,
    Topic,
)
from termbase.record.merging import merge_entries
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Slip, SlipKind, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import RuleCode
from termbase.search.finding import find
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.technique.profile import Hand, Profile, Stated

IDS = ("c0001", "c0002", "c0003", "c0004")


def term(text: str, language: str = "cy", **more: object) -> Term:
    return Term("", text, language, **{"origin": Origin.IN_USE, **more})  # type: ignore[arg-type]


def fill(act: Act) -> None:
    """c0001 and c0002 are one idea and have some of everything; c0003 and c0004 are related to them."""
    source = save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail"))
    code = save_code(act, RuleCode("", "Fair rules"))
    broad = entries.save(act, Entry("", terms=(term("tafliad"),)))
    first = entries.save(act, Entry(
        "", topic=Topic.HOLD, terms=(term("gafael", gender=Gender.FEMININE), term("hank", "en")),
        definitions=(Definition("en", "A hold of the leg."),), usage_note="Of boys.", editor_note="Ask Ifan.",
        technique=Profile(leg_use=Stated("trip"), right=Hand(lets_go=Stated(True))),
        relations=(Relation(RelationKind.BROADER, broad.id),),
    ))  # fmt: skip
    other = entries.save(act, Entry(
        "", topic=Topic.HOLD,
        terms=(term("gafael", origin=Origin.WORD_LIST, forms=(InflectedForm("plural", "gafaelion"),)),
               term("bachiad")),
        definitions=(Definition("cy", "Gafael am y goes."),), editor_note="See the list.",
        technique=Profile(leg_use=Stated("trip"), ground=Stated("standing")),
        relations=(Relation(RelationKind.SEE_ALSO, first.id), Relation(RelationKind.BROADER, broad.id)),
        analogues=(Analogue("leg hook", "en", "folk style"),),
        rulings=(Ruling(code.id, "fits", "Nia", "2026-02-01", "Seen."),),
    ))  # fmt: skip
    entries.save(
        act, Entry("", terms=(term("cic"),), relations=(Relation(RelationKind.COUNTER_TO, other.id),))
    )
    for text, name, kind in (
        ("took gafael", first.terms[0], SlipKind.USE),
        ("gafael s.f.", other.terms[0], SlipKind.HEADWORD),
        ("bachiad", other.terms[1], SlipKind.USE),
    ):
        save_slip(act, Slip("", source.id, text, kind=kind, term_id=name.id))
    save_trial(act, Trial("", other.id, "2026-01-02", Outcome.WORKS, code_id=code.id))
    page = act.add(Page(act.new_id("page"), source.id, "1", "gafael\n"))
    act.add(Line(act.new_id("line"), page.id, 1, "gafael", state=LineState.MADE, entry_ids=(other.id,)))


BROAD, FIRST, OTHER, COUNTER = IDS


@pytest.fixture
def filled(store: Store) -> Store:
    with store.act("Nia", "filled") as act:
        fill(act)
    return store


def state(store: Store) -> dict[str, object]:
    """Return the whole record, except versions and last editors."""
    found: dict[str, object] = {}
    with store.read() as reader:
        for cls in (Entry, Slip, Trial, Line, Redirect):
            for record in reader.all(cls):
                plain = replace(record, version=0)
                if isinstance(plain, Entry):
                    plain = replace(plain, changed_by="", changed_on="")
                found[f"{cls.__name__} {record.id}"] = plain
    return found


def merge(store: Store, this: str = FIRST, other: str = OTHER, **choices: str) -> Entry:
    with store.act("Nia", f"merged {other} into {this}") as act:
        return merging.merge(act, this, other, choices)


def separate(store: Store, gone: str = OTHER) -> tuple[Entry, Entry]:
    with store.act("Nia", f"parted {gone}") as act:
        return merging.separate(act, gone)


def last_act(store: Store) -> int:
    with store.read() as reader:
        return reader.last_acts(1)[0].id


def test_everything_from_both_is_in_the_merged_entry(filled: Store) -> None:
    merged = merge(filled)

    assert [t.text for t in merged.terms] == ["gafael", "hank", "bachiad"]
    assert (merged.terms[0].origin, merged.terms[0].gender) == (Origin.IN_USE, Gender.FEMININE)
    assert merged.terms[0].forms == (InflectedForm("plural", "gafaelion"),)
    assert [d.language for d in merged.definitions] == ["en", "cy"]
    assert merged.technique == Profile(
        leg_use=Stated("trip"), right=Hand(lets_go=Stated(True)), ground=Stated("standing")
    )
    assert merged.relations == (Relation(RelationKind.BROADER, BROAD),)
    assert [a.name for a in merged.analogues] == ["leg hook"]
    assert [r.verdict for r in merged.rulings] == ["fits"]
    assert merged.editor_note == "Ask Ifan.\nSee the list."
    with filled.read() as reader:
        article = Library(reader).article(FIRST)
        assert [len(article.slips[t.id]) for t in merged.terms] == [2, 0, 1]
        assert [t.entry_id for t in reader.all(Trial)] == [FIRST]
        assert [line.entry_ids for line in reader.all(Line)] == [(FIRST,)]
        assert reader.get(Entry, COUNTER).relations == (Relation(RelationKind.COUNTER_TO, FIRST),)


def test_moved_names_are_found_in_the_merged_entry(filled: Store) -> None:
    merge(filled)

    with filled.read() as reader:
        assert {hit.entry_id for hit in find(reader, "fachiad")} == {FIRST}
        assert {hit.entry_id for hit in find(reader, "gafael")} == {FIRST}


def test_the_old_id_leads_to_the_merged_entry_and_both_histories_are_kept(filled: Store) -> None:
    merge(filled)

    with filled.read() as reader:
        assert reader.current_id(OTHER) == reader.current_id(FIRST) == FIRST
        assert Library(reader).article(OTHER).entry.id == FIRST
        assert [c.after is None for c in reader.history(Entry, OTHER)] == [True, False]
        assert len(reader.history(Entry, FIRST)) == 2
    with filled.act("Nia", "related") as act:
        entries.relate(act, BROAD, "see also", OTHER)
        save_trial(act, Trial("", OTHER, "2026-01-03", Outcome.FAILS))
    with filled.read() as reader:
        assert reader.get(Entry, BROAD).relations == (Relation(RelationKind.SEE_ALSO, FIRST),)
        assert {t.entry_id for t in reader.all(Trial)} == {FIRST}


@pytest.mark.parametrize(("this", "other"), [(FIRST, OTHER), (OTHER, FIRST)])
def test_separating_restores_both_entries(filled: Store, this: str, other: str) -> None:
    before = state(filled)
    merge(filled, this, other)
    separate(filled, other)

    assert state(filled) == before


@pytest.mark.parametrize("parted", [False, True], ids=["merged", "merged and parted"])
def test_undoing_restores_both_entries(filled: Store, parted: bool) -> None:
    if parted:
        merge(filled)
    before = state(filled)
    if parted:
        separate(filled)
    else:
        merge(filled)
    act_id = last_act(filled)
    with filled.act("Nia", "undid it", undoes=act_id) as act:
        history.undo(act, act_id)

    assert state(filled) == before


def test_separating_keeps_what_was_added_and_changed_since(filled: Store) -> None:
    merged = merge(filled)
    with filled.act("Ifan", "changed") as act:
        entries.save(act, replace(
            merged,
            terms=(merged.terms[0], merged.terms[1], replace(merged.terms[2], region="Uplands"), term("clo")),
            definitions=(*merged.definitions, Definition("en", "Another.")),
        ))  # fmt: skip
    back, stays = separate(filled)

    assert [(t.text, t.region) for t in back.terms] == [("gafael", ""), ("bachiad", "Uplands")]
    assert [t.text for t in stays.terms] == ["gafael", "hank", "clo"]
    assert [d.text for d in stays.definitions] == ["A hold of the leg.", "Another."]


def test_entries_merged_earlier_follow_and_come_back(filled: Store) -> None:
    before = state(filled)
    merge(filled, OTHER, COUNTER)
    merge(filled, FIRST, OTHER)
    with filled.read() as reader:
        assert {reader.current_id(i) for i in (FIRST, OTHER, COUNTER)} == {FIRST}
    separate(filled, OTHER)
    with filled.read() as reader:
        assert (reader.current_id(COUNTER), reader.current_id(OTHER)) == (OTHER, OTHER)
    separate(filled, COUNTER)

    assert state(filled) == before


def test_a_signed_reading_is_reopened_and_says_why(filled: Store) -> None:
    with filled.act("Nia", "read") as act:
        entries.sign(act, FIRST, "language")
    merged = merge(filled)

    assert not merged.language_reading.signed
    assert merged.language_reading.reopened == Reopened.MERGED(entry=OTHER)


TWO = (Definition("en", "A hold."), Definition("en", "A trip."))
CONTRADICTIONS = {
    "topic": (Entry("c0001", topic=Topic.HOLD), Entry("c0002", topic=Topic.TRIP)),
    "definition en": (Entry("c0001", definitions=TWO[:1]), Entry("c0002", definitions=TWO[1:])),
    "technique": (
        Entry("c0001", technique=Profile(leg_use=Stated("trip"))),
        Entry("c0002", technique=Profile(leg_use=Stated("kick"))),
    ),
    "usage note": (Entry("c0001", usage_note="Of boys."), Entry("c0002", usage_note="Of men.")),
    "ruling r1": tuple(
        Entry(i, rulings=(Ruling("r1", word, "Nia", "2026-01-01", "Seen."),))
        for i, word in (("c0001", "fits"), ("c0002", "open"))
    ),
    "preferred cy": tuple(
        Entry(i, terms=(Term(f"t{i}", text, "cy", Origin.IN_USE, status=Status.PREFERRED),))
        for i, text in (("c0001", "gafael"), ("c0002", "bachiad"))
    ),
    "name tc0002": tuple(
        Entry(i, terms=(Term(f"t{i}", "gafael", "cy", Origin.IN_USE, gender=gender),))
        for i, gender in (("c0001", Gender.FEMININE), ("c0002", Gender.MASCULINE))
    ),
}


@pytest.mark.parametrize("key", CONTRADICTIONS)
def test_a_conflict_is_asked_about_and_the_answer_is_kept(key: str) -> None:
    this, other = CONTRADICTIONS[key]

    (question,) = merge_entries(this, other).unanswered

    assert question.key == key
    answers = {answer: merge_entries(this, other, {key: answer}) for answer in question.answers}
    assert all(not merging_.unanswered for merging_ in answers.values())
    assert len({str(merging_.entry) for merging_ in answers.values()}) == len(question.answers)
    first = merge_entries(this, other, {key: "this"}).entry
    assert [d.text for d in first.definitions] == [d.text for d in this.definitions]
    assert (first.topic, first.technique, first.usage_note) == (this.topic, this.technique, this.usage_note)


def test_nothing_is_written_while_a_conflict_is_open(filled: Store) -> None:
    with filled.act("Nia", "another topic") as act:
        entries.save(act, replace(act.get(Entry, OTHER), topic=Topic.TRIP))
    before = state(filled)

    with pytest.raises(BadInput, match="the topic"):
        merge(filled)

    assert state(filled) == before
    assert merge(filled, topic="other").topic is Topic.TRIP


def test_an_impossible_answer_is_refused(filled: Store) -> None:
    with pytest.raises(BadInput, match="cannot be chosen"):
        merge_entries(*CONTRADICTIONS["topic"], {"topic": "both"})


def test_an_entry_is_not_merged_with_itself_or_if_that_makes_a_loop(filled: Store) -> None:
    with pytest.raises(BadInput, match="itself"):
        merge(filled, FIRST, FIRST)
    with filled.act("Nia", "a chain") as act:
        middle = entries.save(
            act, Entry("", terms=(term("canol"),), relations=(Relation(RelationKind.BROADER, BROAD),))
        )
        first = act.get(Entry, FIRST)
        entries.save(act, replace(first, relations=(Relation(RelationKind.BROADER, middle.id),)))
    with pytest.raises(BadInput, match="broader than itself"):
        merge(filled, BROAD, FIRST)


def test_an_entry_that_was_never_merged_cannot_be_separated(filled: Store) -> None:
    with pytest.raises(NotFound):
        separate(filled, COUNTER)


def test_separating_must_not_leave_an_entry_without_a_name(filled: Store) -> None:
    merged = merge(filled)
    with filled.act("Nia", "removed names") as act:
        entries.save(act, replace(merged, terms=tuple(t for t in merged.terms if t.text == "bachiad")))
    with pytest.raises(Conflict, match="without a name"):
        separate(filled)


def test_an_earlier_state_of_a_merged_entry_is_not_restored(filled: Store) -> None:
    first_act = last_act(filled)
    merge(filled)

    with pytest.raises(InUse, match="Separate it"), filled.act("Nia", "restored it") as act:
        history.restore_state(act, "entry", OTHER, first_act)


def test_ids_do_not_resolve_once_their_target_is_deleted(filled: Store) -> None:
    merge(filled, COUNTER, BROAD)
    with filled.act("Nia", "unrelated") as act:
        entries.save(act, replace(act.get(Entry, FIRST), relations=()))
        entries.save(act, replace(act.get(Entry, OTHER), relations=()))
        entries.save(act, replace(act.get(Entry, COUNTER), relations=()))
        entries.remove(act, COUNTER)

    with filled.read() as reader:
        assert reader.current_id(BROAD) == BROAD
        assert reader.find(Entry, BROAD) is None
