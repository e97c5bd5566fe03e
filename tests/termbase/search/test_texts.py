"""Finding entries by words of their texts, together with words of their names; on both databases."""

import pytest
from sqlalchemy import delete, func, select

from termbase.acts import entries
from termbase.record.entries import Analogue, Definition, Entry, Origin, Term
from termbase.record.foreign_notes import ForeignNote
from termbase.search.finding import filter_ids, find
from termbase.search.texts import by_words
from termbase.store import tables
from termbase.store.engine import Store
from termbase.store.keys import reindex
from termbase.technique.profile import Profile, Stated


def made(name: str, definition: str = "", **more: object) -> Entry:
    definitions = (Definition("en", definition),) if definition else ()
    return Entry("", terms=(Term("", name, "en", Origin.IN_USE),), definitions=definitions, **more)  # type: ignore[arg-type]


ENTRIES = (
    made(
        "back-heel",
        "Hooking his leg with one's own heel and pushing him over it.",
        usage_note="Taught first.",
    ),
    made("inside click", "Hooking his leg between his feet.", editor_note="Compare the letter of 1906."),
    made(
        "scythe",
        "Going past him hip to hip and cutting away the leg.",
        technique=Profile(leg_use=Stated("reap"), names=("mower",)),
    ),
    made("swing", analogues=(Analogue("hufen dro", "cy", "Marrowdale wrestling"),)),
    made("step-over", "Freeing the leg.", foreign_notes=(ForeignNote(category="note", text="Of harbours."),)),
    Entry("", terms=(Term("", "hank", "en", Origin.IN_USE, usage_note="Said by colliers."),)),
)


@pytest.fixture
def glossary(store: Store) -> Store:
    with store.act("Nia", "entered names") as act:
        for entry in ENTRIES:
            entries.save(act, entry)
        entries.save(
            act,
            Entry(
                "",
                terms=(Term("", "dull", "cy", Origin.WORD_LIST),),
                definitions=(Definition("cy", "Codi'r goes a throi'r clun."),),
            ),
        )
    return store


def names(store: Store, text: str) -> list[str]:
    with store.read() as reader:
        return [hit.text for hit in find(reader, text)]


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("heel pushing", "back-heel"),  # a word in the name, a word in the definition
        ("push heels", "back-heel"),  # both in another form
        ("cutting hip", "scythe"),
        ("taught", "back-heel"),
        ("letter 1906", "inside click"),
        ("Marrowdale", "swing"),
        ("reap", "scythe"),
        ("mowers", "scythe"),
        ("harbour", "step-over"),
        ("collier", "hank"),
        ("coes", "dull"),  # the definition has it mutated
        ("nghlun", "dull"),  # asked for mutated
    ],
)
def test_an_entry_is_found_by_the_words_of_its_texts(glossary: Store, text: str, first: str) -> None:
    assert names(glossary, text)[0] == first


def test_names_come_before_texts(glossary: Store) -> None:
    assert names(glossary, "step")[0] == "step-over"
    assert names(glossary, "heel")[0] == "back-heel"
    with glossary.read() as reader:
        hows = [hit.how for hit in find(reader, "hooking")]
    assert hows == ["in a text", "in a text"]


def test_each_hit_says_where_its_words_are(glossary: Store) -> None:
    with glossary.read() as reader:
        first, *_ = find(reader, "heel pushing")
        lacking = by_words(reader, "heel pushing hip", 5)
    assert first.said == "“heel” in the name “back-heel”; “pushing” in the definition."
    assert lacking[0].said == (
        "“heel” in the name “back-heel”; “pushing” in the definition; not found in it: “hip”."
    )


def test_what_has_every_word_comes_before_what_lacks_one(glossary: Store) -> None:
    with glossary.read() as reader:
        hits = by_words(reader, "hooking his heel", 5)
    assert [hit.text for hit in hits] == ["back-heel", "inside click"]
    assert "not found in it" not in hits[0].said
    assert "not found in it: “heel”" in hits[1].said


def test_half_of_the_words_are_not_enough(glossary: Store) -> None:
    assert names(glossary, "leg elephant") == []


def test_a_mutation_is_undone_only_in_texts_in_its_language(store: Store) -> None:
    with store.act("Nia", "entered names") as act:
        entries.save(act, made("headgear", "A cap of felt."))
    assert names(store, "cap") == ["headgear"]
    assert names(store, "gap") == []  # Welsh g may stand for c; this text is English


def test_the_list_is_narrowed_by_names_and_texts(glossary: Store) -> None:
    with glossary.read() as reader:
        found = reader.many(Entry, filter_ids(reader, "heel push"))
        begun = reader.many(Entry, filter_ids(reader, "cutt"))
    assert [entry.terms[0].text for entry in found.values()] == ["back-heel"]
    assert [entry.terms[0].text for entry in begun.values()] == ["scythe"]


def test_a_changed_text_is_found_by_its_new_words(glossary: Store) -> None:
    with glossary.read() as reader:
        (hit, *_) = find(reader, "cutting")
        entry = reader.get(Entry, hit.entry_id)
    with glossary.act("Nia", "changed a definition") as act:
        changed = Definition("en", "Mowing the leg away.")
        entries.save(act, Entry(**{**vars(entry), "definitions": (changed,)}))
    assert "scythe" in names(glossary, "mowing")
    assert "scythe" not in names(glossary, "cutting")


def test_a_common_word_does_not_hide_a_rare_one(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("termbase.search.texts.MOST_WEIGHED", 5)
    with store.act("Nia", "entered names") as act:
        for n in range(20):
            entries.save(act, made(f"name {'abcdefghijklmnopqrst'[n]}", "Pushing the man."))
        entries.save(act, made("rare thing", "Pushing the barrow."))
    with store.read() as reader:
        assert [hit.text for hit in by_words(reader, "pushing barrow zzz", 10)] == ["rare thing"]


def test_the_words_can_be_rebuilt(glossary: Store) -> None:
    def rows() -> list[tuple[object, ...]]:
        with glossary.read() as reader:
            return sorted(tuple(row) for row in reader.connection.execute(select(tables.text_word)))

    before = rows()
    with glossary.engine.begin() as connection:
        connection.execute(delete(tables.text_word))
    assert names(glossary, "cutting") == []
    reindex(glossary)
    assert rows() == before
    assert names(glossary, "cutting") == ["scythe"]


def test_a_removed_entry_leaves_no_words(glossary: Store) -> None:
    with glossary.read() as reader:
        (hit, *_) = find(reader, "cutting")
    with glossary.act("Nia", "removed an entry") as act:
        entries.remove(act, hit.entry_id)
    with glossary.read() as reader:
        count = select(func.count()).where(tables.text_word.c.entry_id == hit.entry_id)
        assert reader.connection.scalar(count) == 0


def test_an_analogue_without_a_language_is_kept_and_found(store: Store) -> None:
    with store.act("Nia", "entered a name") as act:
        entries.save(act, made("swing", analogues=(Analogue("hufen dro", "", "Marrowdale wrestling"),)))
    assert names(store, "hufen") == ["swing"]
