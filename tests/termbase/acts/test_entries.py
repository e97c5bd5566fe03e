"""Creating, changing, signing, relating and deleting entries."""

from dataclasses import replace

import pytest

from termbase.acts import entries
from termbase.acts.rules import save_code
from termbase.acts.sources import save_slip, save_source
from termbase.acts.trials import save as save_trial
from termbase.codes.deeds import Reopened
from termbase.codes.wording import statement_text
from termbase.errors import BadInput, Conflict, InUse, NotFound
from termbase.fields.notes import CodedText, own_words
from termbase.record.entries import Definition, Entry, Origin, Relation, RelationKind, Status, Term, Topic
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Slip, Source, SourceKind
from termbase.record.trials import Outcome, Trial
from termbase.rules.clauses import RuleCode
from termbase.store.engine import Store
from termbase.store.writing import Act
from termbase.technique.profile import NOT_STATED, Profile, Stated


def term(text: str, language: str = "cy", **more: object) -> Term:
    return Term("", text, language, Origin.IN_USE, **more)  # type: ignore[arg-type]


def make(store: Store, *texts: str, **more: object) -> Entry:
    """An entry with Welsh names."""
    with store.act("Nia", "created an entry") as act:
        return entries.save(act, Entry("", terms=tuple(map(term, texts)), **more))  # type: ignore[arg-type]


def entry(store: Store, entry_id: str) -> Entry:
    with store.read() as reader:
        return reader.get(Entry, entry_id)


def texts(of: Entry) -> list[str]:
    return [t.text for t in of.terms]


def quote(act: Act, term_id: str) -> Slip:
    source = save_source(act, Source("", "Mail 1871", SourceKind.NEWSPAPER, "The Upland Mail"))
    return save_slip(act, Slip("", source.id, "took the hank", term_id=term_id))


def test_a_new_entry_gets_ids_and_its_creator(store: Store) -> None:
    made = make(store, "gafael", "afael")

    assert made.id == "c0001"
    assert [t.id for t in made.terms] == ["t1", "t2"]
    assert (made.created_by, made.created_on, made.version) == ("Nia", "2026-03-01", 1)


@pytest.mark.parametrize("names", [(), ("",), ("  ",)], ids=["none", "empty", "blank"])
def test_an_entry_without_a_name_is_refused_and_nothing_is_written(
    store: Store, names: tuple[str, ...]
) -> None:
    with pytest.raises(BadInput):
        make(store, *names)

    with store.read() as reader:
        assert reader.count(Entry) == 0
        assert [act.words for act in reader.last_acts()] == ["created the termbase"]


def test_overwriting_another_persons_change_is_a_conflict(store: Store) -> None:
    seen = make(store, "gafael")
    with store.act("Ifan", "gave the topic") as act:
        entries.save(act, replace(seen, topic=Topic.HOLD))

    with pytest.raises(Conflict), store.act("Nia", "gave the topic too") as act:
        entries.save(act, replace(seen, topic=Topic.TRIP))

    assert entry(store, seen.id).topic is Topic.HOLD


CHANGES = {
    "a name": (lambda e: replace(e, terms=(replace(e.terms[0], text="bachiad"),)), "language"),
    "the usage note": (lambda e: replace(e, usage_note="Of boys only."), "language"),
    "the technique": (lambda e: replace(e, technique=Profile(leg_use=Stated("trip"))), "practice"),
    "the topic": (lambda e: replace(e, topic=Topic.TRIP), "practice"),
    "a definition": (lambda e: replace(e, definitions=(Definition("en", "A trip."),)), "both"),
    "the editor's note": (lambda e: replace(e, editor_note="Ask Ifan."), "none"),
}


@pytest.mark.parametrize("changed", CHANGES)
def test_a_reading_is_reopened_with_a_reason_when_its_fields_change(store: Store, changed: str) -> None:
    made = make(store, "gafael")
    with store.act("Nia", "read it") as act:
        entries.sign(act, made.id, "language")
        signed = entries.sign(act, made.id, "practice")
    assert signed.ready

    change, covered_by = CHANGES[changed]
    with store.act("Ifan", "changed it") as act:
        after = entries.save(act, change(signed))

    opened = {
        "language": ("language",),
        "practice": ("practice",),
        "both": ("language", "practice"),
        "none": (),
    }
    assert after.language_reading.signed is ("language" not in opened[covered_by])
    assert after.practice_reading.signed is ("practice" not in opened[covered_by])
    for reading in (after.language_reading, after.practice_reading):
        assert reading.signed or "changed after it was signed" in statement_text(reading.reopened)


def test_a_signature_has_name_and_day_of_the_act(store: Store) -> None:
    made = make(store, "gafael")
    with store.act("Ruth", "read it") as act:
        signed = entries.sign(act, made.id, "practice")

    assert (signed.practice_reading.by, signed.practice_reading.on) == ("Ruth", "2026-03-01")
    assert not signed.ready


@pytest.mark.parametrize(
    ("why", "said"),
    [
        ("the definition is wrong", own_words("the definition is wrong")),
        (" ", Reopened.BY_HAND(person="Nia")),
    ],
)
def test_a_reopened_reading_says_why_or_by_whom(store: Store, why: str, said: CodedText) -> None:
    made = make(store, "gafael")
    with store.act("Nia", "read it and thought better of it") as act:
        entries.sign(act, made.id, "language")
        opened = entries.reopen_reading(act, made.id, "language", why)

    assert opened.language_reading.reopened == said
    assert not opened.language_reading.signed


def test_only_one_name_of_a_language_is_preferred_at_a_time(store: Store) -> None:
    made = make(store, "gafael", "afael", "gafaeliad")
    ids = [t.id for t in made.terms]
    with store.act("Nia", "chose") as act:
        entries.prefer(act, made.id, ids[0])
        after = entries.prefer(act, made.id, ids[2])

    assert [t.status for t in after.terms] == [Status.ADMITTED, None, Status.PREFERRED]


def test_two_preferred_names_saved_together_are_refused(store: Store) -> None:
    both = Entry("", terms=tuple(term(t, status=Status.PREFERRED) for t in ("gafael", "afael")))

    with (
        pytest.raises(BadInput, match="are marked as preferred"),
        store.act("Nia", "created an entry") as act,
    ):
        entries.save(act, both)


@pytest.mark.parametrize(
    ("which", "by", "order"),
    [
        (0, 1, ["afael", "hold", "gafael"]),
        (2, -1, ["afael", "hold", "gafael"]),
        (0, -1, ["gafael", "hold", "afael"]),
        (1, 1, ["gafael", "hold", "afael"]),
    ],
    ids=["down past another language", "up past another language", "first up stays", "only one stays"],
)
def test_a_name_moves_among_those_of_its_language(
    store: Store, which: int, by: int, order: list[str]
) -> None:
    with store.act("Nia", "created an entry") as act:
        names = (term("gafael"), term("hold", "en"), term("afael"))
        made = entries.save(act, Entry("", terms=names))
    with store.act("Nia", "moved a name") as act:
        after = entries.move_term(act, made.id, made.terms[which].id, by)

    assert texts(after) == order
    assert texts(entry(store, made.id)) == order


def test_slips_of_a_deleted_name_become_unsorted(store: Store) -> None:
    made = make(store, "gafael", "afael")
    with store.act("Nia", "quoted") as act:
        slip = quote(act, made.terms[1].id)
    with store.act("Nia", "removed a name") as act:
        after = entries.delete_term(act, made.id, made.terms[1].id)

    assert texts(after) == ["gafael"]
    with store.read() as reader:
        assert reader.get(Slip, slip.id).term_id == ""


def test_the_only_name_cannot_be_deleted(store: Store) -> None:
    made = make(store, "gafael")

    with pytest.raises(BadInput), store.act("Nia", "removed a name") as act:
        entries.delete_term(act, made.id, made.terms[0].id)


@pytest.mark.parametrize("doing", [entries.prefer, entries.delete_term], ids=["prefer", "drop"])
def test_an_error_about_a_missing_name_names_it(store: Store, doing: object) -> None:
    made = make(store, "gafael")

    with pytest.raises(NotFound, match="t99"), store.act("Nia", "tried") as act:
        doing(act, made.id, "t99")  # type: ignore[operator]


@pytest.mark.parametrize(
    ("reads", "holder", "kind"),
    [
        ("broader", 0, RelationKind.BROADER),
        ("narrower", 1, RelationKind.BROADER),
        ("counter to", 0, RelationKind.COUNTER_TO),
        ("countered by", 1, RelationKind.COUNTER_TO),
        ("followed by", 1, RelationKind.FOLLOWS),
        ("see also", 0, RelationKind.SEE_ALSO),
        ("contrasts with", 0, RelationKind.CONTRASTS),
    ],
)
def test_a_relation_is_stored_once_whichever_side_adds_it(
    store: Store, reads: str, holder: int, kind: RelationKind
) -> None:
    both = [make(store, "gafael"), make(store, "bachiad")]
    with store.act("Nia", "related them") as act:
        entries.relate(act, both[0].id, reads, both[1].id)

    assert entry(store, both[holder].id).relations == (Relation(kind, both[1 - holder].id),)
    assert entry(store, both[1 - holder].id).relations == ()

    with store.act("Nia", "removed it") as act:
        entries.unrelate(act, both[0].id, reads, both[1].id)
    assert not entry(store, both[0].id).relations
    assert not entry(store, both[1].id).relations


def test_a_symmetric_relation_can_be_removed_from_either_side(store: Store) -> None:
    one, other = make(store, "gafael"), make(store, "bachiad")
    with store.act("Nia", "related them") as act:
        entries.relate(act, one.id, "see also", other.id)
    with store.act("Nia", "removed it") as act:
        entries.unrelate(act, other.id, "see also", one.id)

    assert entry(store, one.id).relations == ()


def test_broader_entries_never_form_a_loop(store: Store) -> None:
    one, two, three = (make(store, t) for t in ("gafael", "bachiad", "tafliad"))
    with store.act("Nia", "related them") as act:
        entries.relate(act, one.id, "broader", two.id)
        entries.relate(act, two.id, "broader", three.id)

    with pytest.raises(BadInput, match="broader than itself"), store.act("Nia", "closed it") as act:
        entries.relate(act, three.id, "broader", one.id)
    with pytest.raises(BadInput, match="broader than itself"), store.act("Nia", "closed it") as act:
        entries.relate(act, one.id, "narrower", three.id)


@pytest.mark.parametrize(
    ("reads", "target"), [("cousin of", "c0001"), ("broader", "c0099"), ("broader", "itself")]
)
def test_an_impossible_relation_is_refused(store: Store, reads: str, target: str) -> None:
    make(store, "bachiad")
    made = make(store, "gafael")

    with pytest.raises(BadInput), store.act("Nia", "related them") as act:
        entries.relate(act, made.id, reads, made.id if target == "itself" else target)


def test_a_ruling_is_signed_dated_and_replaced_by_the_next(store: Store) -> None:
    made = make(store, "gafael", technique=NOT_STATED)
    with store.act("Nia", "ruled") as act:
        code = save_code(act, RuleCode("", "Fair rules"))
        entries.rule(act, made.id, code.id, "fits", " Seen at the fair. ")
        after = entries.rule(act, made.id, code.id, "open", "Not so sure.")

    (ruling,) = after.rulings
    assert (ruling.verdict, ruling.by, ruling.on, ruling.reason) == (
        "open",
        "Nia",
        "2026-03-01",
        "Not so sure.",
    )

    with store.act("Nia", "removed it") as act:
        assert entries.rule(act, made.id, code.id, "", "").rulings == ()


def test_a_ruling_without_a_reason_is_refused(store: Store) -> None:
    made = make(store, "gafael")

    with pytest.raises(BadInput, match="reason"), store.act("Nia", "ruled") as act:
        entries.rule(act, made.id, "r1", "fits", "  ")


def test_deleting_an_entry_frees_its_slips_and_lines(store: Store) -> None:
    made = make(store, "gafael")
    with store.act("Nia", "quoted and attached") as act:
        slip = quote(act, made.terms[0].id)
        page = act.add(Page(act.new_id("page"), slip.source_id, "41", "Hold, gafael"))
        line = act.add(
            Line(
                act.new_id("line"), page.id, 1, "Hold, gafael", state=LineState.ATTACHED, entry_ids=(made.id,)
            )
        )
    with store.act("Nia", "removed it") as act:
        entries.remove(act, made.id)

    with store.read() as reader:
        assert reader.find(Entry, made.id) is None
        assert reader.get(Slip, slip.id).term_id == ""
        assert reader.get(Line, line.id).entry_ids == ()
        assert reader.get(Line, line.id).state is LineState.UNPARSED


def test_an_entry_in_use_is_not_deleted(store: Store) -> None:
    one, other = make(store, "gafael"), make(store, "bachiad")
    with store.act("Nia", "related and tried") as act:
        entries.relate(act, one.id, "see also", other.id)
        save_trial(act, Trial("", one.id, "2026-02", Outcome.WORKS))

    for target, user in ((other.id, one.id), (one.id, "m1")):
        with pytest.raises(InUse, match=user), store.act("Nia", "removed it") as act:
            entries.remove(act, target)
    assert entry(store, other.id) == other
