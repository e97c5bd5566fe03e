"""Finding by name, on both databases, through the public face."""

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from termbase.errors import Ambiguous, BadInput
from termbase.record.entries import Entry, InflectedForm, Origin, Term
from termbase.search.finding import complete, entry_called, filter_ids, find
from termbase.search.hits import HOWS
from termbase.search.queries import near_texts
from termbase.store.engine import Store
from termbase.store.keys import edits_allowed
from termbase.store.writing import Act

NAMES = (
    ("back-heel", "sawdl ôl"),
    ("cross-buttock", "clun groes"),
    ("trip", "baglu"),
    ("inside hook", "bachyn mewnol"),
    ("outside hook", "bachyn allanol"),
    ("outside stroke", "ergyd allanol"),
    ("catch", "gafael"),
)


def enter(act: Act, *names: tuple[str, str], **more: object) -> Entry:
    """An entry with these (text, language) names."""
    terms = tuple(
        Term(act.new_id("term"), text, tag, Origin.IN_USE, **more)  # type: ignore[arg-type]
        for text, tag in names
    )
    return act.add(Entry(act.new_id("entry"), terms=terms))


def fill(store: Store) -> Store:
    with store.act("Nia", "entered names") as act:
        for english, welsh in NAMES:
            enter(act, (english, "en"), (welsh, "cy"))
        enter(act, ("corff", "cy"), printed="corph", forms=(InflectedForm("plural", "cyrff"),))
    return store


@pytest.fixture(scope="module")
def glossary(shared_store: Store) -> Store:
    """Names to be found; only read."""
    return fill(shared_store)


@pytest.fixture
def own_glossary(store: Store) -> Store:
    """The same, to be changed."""
    return fill(store)


@pytest.mark.parametrize(
    ("query", "language", "found", "how"),
    [
        ("back-heel", None, "back-heel", "the very form"),
        ("BACK–HEEL", None, "back-heel", "the very form"),
        ("backheel", None, "back-heel", "variant"),
        ("back heel", "en", "back-heel", "variant"),
        ("sawdl ol", "cy", "sawdl ôl", "variant"),
        ("back heels", "en", "back-heel", "inflected"),
        ("caught", None, "catch", "inflected"),
        ("cyrff", "cy", "corff", "inflected"),
        ("faglu", "cy", "baglu", "mutated"),
        ("maglu", None, "baglu", "mutated"),
        ("glun groes", None, "clun groes", "mutated"),
        ("corph", "cy", "corff", "old spelling"),
        ("bak-heal", None, "back-heel", "near"),
        ("crossbuttick", "en", "cross-buttock", "near"),
        ("outside st", None, "outside stroke", "beginning"),
        ("stroke", None, "outside stroke", "word inside"),
        ("stroake", None, "outside stroke", "word inside"),
        ("fachyn", "cy", "bachyn mewnol", "word inside"),
    ],
)
def test_a_name_is_found_and_the_match_type_is_shown(
    glossary: Store, query: str, language: str | None, found: str, how: str
) -> None:
    with glossary.read() as reader:
        first = find(reader, query, language=language)[0]
    assert (first.text, first.how) == (found, how)
    assert first.said.endswith(".")


def test_hits_come_in_the_order_of_the_ways(store: Store) -> None:
    with store.act("Nia", "entered names") as act:
        wanted = [
            enter(act, (name, "cy")).id
            for name in ("bagal", "bag al", "pagal", "bagalx", "bagalau hir", "hir iawn bagal")
        ]
    with store.read() as reader:
        hits = find(reader, "bagal", language="cy", limit=20)
    ways = [HOWS.index(hit.how) for hit in hits]
    assert ways == sorted(ways)
    assert [hit.entry_id for hit in hits] == wanted
    assert [hit.how for hit in hits][:3] == ["the very form", "variant", "mutated"]


def test_an_entry_is_offered_once(own_glossary: Store) -> None:
    with own_glossary.act("Nia", "entered a variant") as act:
        entry = enter(act, ("back heel trip", "en"), ("back-heel trip", "en"))
    with own_glossary.read() as reader:
        ids = [hit.entry_id for hit in find(reader, "back heel")]
    assert ids.count(entry.id) == 1
    assert len(ids) == len(set(ids))


def test_a_language_shuts_out_the_others(glossary: Store) -> None:
    with glossary.read() as reader:
        assert find(reader, "trip", language="en")[0].language == "en"
        assert all(hit.language == "cy" for hit in find(reader, "trip", language="cy"))


def test_the_limit_holds(glossary: Store) -> None:
    with glossary.read() as reader:
        assert len(find(reader, "outside", limit=1)) == 1
        assert find(reader, "outside", limit=0) == ()
        assert len(complete(reader, "o", limit=1)) == 1


def test_changed_and_removed_names_are_no_longer_found(own_glossary: Store) -> None:
    with own_glossary.read() as reader:
        entry_id = find(reader, "back-heel")[0].entry_id
        other_id = find(reader, "catch")[0].entry_id
        entry = reader.get(Entry, entry_id)
    with own_glossary.act("Nia", "changed a name, removed an entry") as act:
        first = entry.terms[0]
        changed = Term(first.id, "heel chip", "en", Origin.IN_USE)
        act.put(Entry(entry.id, terms=(changed, *entry.terms[1:]), version=entry.version))
        act.remove(Entry, other_id)
    with own_glossary.read() as reader:
        assert entry_id not in filter_ids(reader, "back-heel")
        assert entry_id not in [hit.entry_id for hit in find(reader, "bakheel")]
        assert find(reader, "heel chip")[0].entry_id == entry_id
        assert find(reader, "sawdl ôl")[0].entry_id == entry_id
        assert other_id not in [hit.entry_id for hit in find(reader, "catch")]


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("b", "back-heel"),
        ("cros", "cross-buttock"),
        ("crossb", "cross-buttock"),
        ("croxs-b", "cross-buttock"),
        ("crosbut", "cross-buttock"),
        ("crossbit", "cross-buttock"),
        ("back heel", "back-heel"),
        ("stro", "outside stroke"),
        ("outsode s", "outside stroke"),
    ],
)
def test_half_a_name_is_completed_even_with_a_letter_wrong(glossary: Store, typed: str, found: str) -> None:
    with glossary.read() as reader:
        assert found in [hit.text for hit in complete(reader, typed)]


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("sack", ["sack-lift", "smock"]),  # the name begins so; two letters of four differ
        ("smoch", ["smock", "smoch-stretch"]),  # one letter of five differs
    ],
)
def test_a_beginning_comes_before_a_name_that_is_hardly_near(
    store: Store, asked: str, found: list[str]
) -> None:
    with store.act("Nia", "entered names") as act:
        for name in ("smock", "sack-lift", "smoch-stretch"):
            enter(act, (name, "en"))
    with store.read() as reader:
        assert [hit.text for hit in find(reader, asked) if hit.how in ("near", "beginning")] == found


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("hand ", "hand over hand"),  # the word is finished
        ("hand o", "hand over hand"),
        ("hando", "handout"),
        ("hand i", "hand over hand"),  # with a letter wrong
    ],
)
def test_words_that_begin_where_they_were_typed_to_begin_come_first(
    store: Store, typed: str, found: str
) -> None:
    with store.act("Nia", "entered names") as act:
        for name in ("handout", "hand over hand"):
            enter(act, (name, "en"))
    with store.read() as reader:
        assert complete(reader, typed)[0].text == found


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("hook", {"inside hook", "outside hook"}),
        ("out", {"outside hook", "outside stroke"}),
        ("hook out", {"outside hook"}),
        ("ou ho", {"outside hook"}),
        ("b", {"back-heel", "inside hook", "outside hook", "trip"}),
        ("backheel", {"back-heel"}),
        ("faglu", {"trip"}),
        ("cros but", {"cross-buttock"}),
        ("gafall", {"catch"}),
        ("hook stroke", set()),
    ],
)
def test_a_filter_keeps_what_it_should(glossary: Store, typed: str, names: set[str]) -> None:
    with glossary.read() as reader:
        entries = reader.many(Entry, filter_ids(reader, typed))
    assert {entry.terms[0].text for entry in entries.values()} == names


def test_near_names_are_those_of_an_exhaustive_search(store: Store) -> None:
    chance = random.Random(7)
    names = sorted({_invented(chance) for _ in range(400)})
    with store.act("Nia", "entered names") as act:
        for name in names:
            enter(act, (name, "en"))
    with store.read() as reader:
        for name in names[::8]:
            query = _misspelt(name, chance)
            exhaustive = process.extract(
                query, names, scorer=Levenshtein.distance, score_cutoff=3, limit=None
            )
            expected = {text for text, edits, _ in exhaustive if edits <= edits_allowed(len(text))}
            assert {near.text for near in near_texts(reader, query)} == expected


ODD = (
    "", " ", "\t \n", "\u0301", "\u0301\u0323\u0308", "a" * 10_000, "a b " * 2_500, "ŵ" * 10_000, "-" * 300,
    "\ud800", "back\ud83d", "\0", "back\0heel", "\x1b[2J", "שלום", "\u202eleeh", "مصارعة", "🤼", "🤼 heel",
    "'", '"', "%", "_", "\\", "' OR 1=1 --", "'; DROP TABLE term; --", "NEAR(a b)", 'a* AND "b', "{a b}:c",
    "^a", ":x", "%(x)s", "?", "$1", "\uffff", "\U0010ffff", "ſ", "⁊", "İ", "ß", "ﬃ", "１", "&", "7", "’",
    "\u200d", "\u034f", "x\u034fy",
)  # fmt: skip


@pytest.mark.parametrize("language", [None, "en", "cy", "ga-Latg", "qaa"])
def test_whatever_is_typed_gives_an_answer(glossary: Store, language: str | None) -> None:
    with glossary.read() as reader:
        for text in ODD:
            for ask in (find, complete, filter_ids):
                ask(reader, text, language=language)


@pytest.mark.parametrize("text", ["", " ", "\u200b\u00ad", "\0"])
def test_a_query_that_says_nothing_finds_nothing(glossary: Store, text: str) -> None:
    with glossary.read() as reader:
        assert not find(reader, text)
        assert not complete(reader, text)
        assert not filter_ids(reader, text)


@pytest.mark.parametrize("tag", ["c", "not a tag", "cy_GB", "\0", "en'--"])
def test_an_invalid_language_tag_is_rejected(glossary: Store, tag: str) -> None:
    with glossary.read() as reader, pytest.raises(BadInput):
        find(reader, "trip", language=tag)


@given(st.text(max_size=40))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
def test_any_text_at_all_gives_an_answer(glossary: Store, text: str) -> None:
    with glossary.read() as reader:
        assert len(find(reader, text)) <= 10
        complete(reader, text)
        filter_ids(reader, text)


def _invented(chance: random.Random) -> str:
    return "".join(
        chance.choice(("ba", "cro", "gl", "wen", "or", "ith", "s", "llu"))
        for _ in range(chance.randint(1, 6))
    )


def _misspelt(name: str, chance: random.Random) -> str:
    for _ in range(chance.randint(1, 3)):
        at = chance.randint(0, len(name))
        name = name[:at] + chance.choice(("", "x", "b")) + name[at + chance.randint(0, 1) :]
    return name


@pytest.mark.parametrize(
    "typed", ["back-heel", "backheel", "sawdl ôl", "Back heels", "c0001", "c0001 back-heel · sawdl"]
)
def test_an_entry_is_named_by_its_id_or_by_any_form_of_a_name(glossary: Store, typed: str) -> None:
    with glossary.read() as reader:
        assert entry_called(reader, typed, "entry") == "c0001"


def test_the_closest_form_of_a_name_wins(own_glossary: Store) -> None:
    with own_glossary.act("Nia", "entered a name") as act:
        exact = enter(act, ("faglu", "cy"))  # also the soft mutation of baglu
    with own_glossary.read() as reader:
        assert entry_called(reader, "faglu", "entry") == exact.id

    with own_glossary.act("Nia", "entered a name") as act:
        second = enter(act, ("faglu", "cy"))
    with own_glossary.read() as reader, pytest.raises(Ambiguous, match="Several entries") as refused:
        entry_called(reader, "faglu", "entry")
    assert [entry_id for entry_id, _ in refused.value.choices][:2] == [exact.id, second.id]


@pytest.mark.parametrize(
    ("typed", "error", "what"),
    [
        ("bak-heal", Ambiguous, "No entry is called “bak-heal”, but some have a similar name"),
        ("xylophone", BadInput, "No entry is called “xylophone”"),
        ("x" * 500, BadInput, "…"),
    ],
)
def test_a_name_that_no_entry_has_is_never_guessed(
    glossary: Store, typed: str, error: type[BadInput], what: str
) -> None:
    with glossary.read() as reader, pytest.raises(error) as refused:
        entry_called(reader, typed, "entry")
    assert what in refused.value.what
    assert refused.value.where == "entry"
    assert len(refused.value.what) < 200
