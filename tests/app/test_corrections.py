"""What becomes of a line that needs a person: words that no list has, ditto marks, lines split wrong."""

import re

import pytest
from flask.testing import FlaskClient
from lxml.html import fromstring

from termbase.acts import pages as page_acts
from termbase.acts.sources import save_source
from termbase.record.entries import Entry, Term
from termbase.record.lines import HEADWORD
from termbase.record.pages import Line, LineState, Page
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store.engine import Store
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.patterns import Abbreviation, Labels, in_languages
from termbase.wordlists.stock import STOCK

LABELS = Labels(
    part_of_speech=(Abbreviation("s.", "noun"), Abbreviation("part.", "participle")),
    gender=(Abbreviation("m.", "masculine"), Abbreviation("an.", "animate")),
    number=(Abbreviation("tri.", "trial"),),
)
TEXT = """tripped, part. wedi baglu
belt, s. gwregys, an.
hold, s. gafael, m., tri.
clip, s. bachiad, m.
„ outside, s. bachiad allanol, m.
heel-clip – outside, s. bachiad sawdl, m.
c.-buttock, s. clun groes
cross-but- tock, s. clun draws
bachell, s. bachyn, m.
"""
TRIPPED, BELT, HOLD, CLIP, DITTO, SPLIT, SHORT, BROKEN, MISPRINT = range(1, 10)
WORDS = {TRIPPED: "participle", BELT: "animate", HOLD: "trial"}


@pytest.fixture(autouse=True)
def page(store: Store) -> Page:
    pattern = in_languages(STOCK["pocket list"], "en", "cy")
    pattern = type(pattern)(
        **{
            f: getattr(pattern, f) for f in ("headword_language", "equivalent_language", "cutting", "layouts")
        },
        name="a list",
        marks=pattern.marks,
        labels=LABELS,
    )
    with store.act("Gwen", "entered a page") as act:
        kind, text = SourceKind.WORD_LIST, write_pattern(pattern)
        source = save_source(act, Source("", "Glan 1898", kind, "A List", language="en", pattern=text))
        return page_acts.add_page(act, source.id, "1", TEXT)


def line_at(store: Store, position: int) -> Line:
    with store.read() as reader:
        return next(line for line in reader.all(Line) if line.position == position)


def work(client: FlaskClient, store: Store, what: str, position: int, **fields: object) -> str:
    line = line_at(store, position)
    data = {"version": line.version, "at": position, **fields}
    answer = client.post(f"/pages/w1/lines/{line.id}/{what}", data=data)
    return answer.get_data(as_text=True)


def fields_of(client: FlaskClient, position: int) -> dict[str, str]:
    page = fromstring(client.get(f"/pages/w1?at={position}&correct=1").get_data(as_text=True))
    (form,) = page.xpath('//form[@class="correct"]')
    return {str(name): str(value or "") for name, value in form.fields.items()}


def entries(store: Store) -> tuple[Entry, ...]:
    with store.read() as reader:
        return reader.all(Entry)


def names(store: Store) -> dict[str, Term]:
    return {term.text: term for entry in entries(store) for term in entry.terms}


@pytest.mark.parametrize(("position", "word"), WORDS.items())
def test_a_word_in_no_list_is_reported_on_its_line(
    client: FlaskClient, store: Store, position: int, word: str
) -> None:
    assert line_at(store, position).state is LineState.UNPARSED
    html = client.get(f"/pages/w1?at={position}").get_data(as_text=True)
    assert re.search(f"“{word}” is not in the list of (parts of speech|genders|numbers).", html)
    client.post("/pages/w1/accept")
    assert line_at(store, position).entry_ids == ()


@pytest.mark.parametrize(("position", "word"), WORDS.items())
def test_the_word_is_added_to_an_entry_created_anyway(
    client: FlaskClient, store: Store, position: int, word: str
) -> None:
    work(client, store, "make", position)
    (entry,) = entries(store)
    assert word in entry.editor_note


def test_the_word_is_added_to_the_entry_the_line_is_attached_to(client: FlaskClient, store: Store) -> None:
    work(client, store, "make", CLIP)
    work(client, store, "attach", TRIPPED, entry="c0001")
    (entry,) = entries(store)
    assert "part of speech of “tripped”: participle" in entry.editor_note


def test_an_unlisted_word_is_refused_beside_its_field_and_kept(client: FlaskClient, store: Store) -> None:
    fields = fields_of(client, TRIPPED)
    assert fields["part_of_speech"] == "participle"
    html = work(client, store, "correct", TRIPPED, **fields)
    (error,) = fromstring(html).xpath('//*[@id="part_of_speech-error"]')
    assert "“participle” is not in the list of parts of speech." in error.text_content()
    assert "verbal noun" in error.text_content()
    assert 'value="participle"' in html
    assert not line_at(store, TRIPPED).corrected


def test_a_word_in_brackets_after_a_listed_word_is_kept(client: FlaskClient, store: Store) -> None:
    fields = fields_of(client, TRIPPED) | {"part_of_speech": "other (participle)"}
    work(client, store, "correct", TRIPPED, **fields)
    assert line_at(store, TRIPPED).state is LineState.NEW
    work(client, store, "make", TRIPPED)
    (entry,) = entries(store)
    assert (entry.terms[0].part_of_speech, "participle" in entry.editor_note) == ("other", True)


def test_a_line_read_by_an_earlier_version_is_not_assumed_clean(client: FlaskClient, store: Store) -> None:
    """Earlier versions kept such a word without a trouble."""
    with store.act("Gwen", "as before") as act:
        line = act.get(Line, line_at(store, TRIPPED).id)
        assert line.parsed is not None
        parsed = type(line.parsed)(headword="tripped", part_of_speech="participle", senses=line.parsed.senses)
        act.put(type(line)(**{**vars(line), "parsed": parsed, "state": LineState.NEW}))
    assert "is not in the list of parts of speech" in client.get(f"/pages/w1?at={TRIPPED}").text
    client.post("/pages/w1/accept")
    assert line_at(store, TRIPPED).entry_ids == ()


def marked(client: FlaskClient, text: str) -> list[str]:
    """The words that Reading marks in a text."""
    form = {"source": "s1", "date": "1898", "page": "1", "column": "1", "text": text}
    address = client.post("/reading", data=form).headers["Location"]
    return re.findall(r"<mark[^>]*>([^<]*)</mark>", client.get(address).text)


def corrected(client: FlaskClient, store: Store, position: int, **fields: str) -> None:
    work(client, store, "correct", position, **(fields_of(client, position) | fields))
    work(client, store, "make", position)


STAND_INS = {
    "ditto": (DITTO, "outside clip", "„ outside", "He stood outside the ring."),
    "abbreviation": (SHORT, "cross-buttock", "c.-buttock", "The buttock of a gun."),
    "broken word": (BROKEN, "cross-buttock", "cross-but- tock", "He said but no more; tock."),
}


@pytest.mark.parametrize("why", STAND_INS)
def test_a_stand_in_for_a_name_is_not_marked_as_a_spelling(
    client: FlaskClient, store: Store, why: str
) -> None:
    position, name, printed, text = STAND_INS[why]
    corrected(client, store, position, headword=name)
    assert names(store)[name].printed == ""
    parsed = line_at(store, position).parsed
    assert parsed is not None
    assert {(p.text, p.why) for p in parsed.printed if p.part == HEADWORD} == {(printed, why)}
    with store.read() as reader:
        assert printed in {slip.name for slip in reader.all(Slip)}
    assert marked(client, text) == []
    assert marked(client, f"A {name} won it.") == [name]


def test_another_spelling_is_kept_and_marked(client: FlaskClient, store: Store) -> None:
    corrected(client, store, MISPRINT, headword="backheel")
    assert names(store)["backheel"].printed == "bachell"
    assert marked(client, "with a bachell he fell") == ["bachell"]


def test_the_person_says_what_the_printed_form_is(client: FlaskClient, store: Store) -> None:
    corrected(client, store, MISPRINT, headword="backheel", headword_printed_is="abbreviation")
    assert names(store)["backheel"].printed == ""
    assert marked(client, "with a bachell he fell") == []


def test_a_wrongly_split_line_does_not_fill_the_printed_form(client: FlaskClient, store: Store) -> None:
    line = line_at(store, CLIP)
    assert line.parsed is not None
    with store.act("Gwen", "as a pattern splits it") as act:
        parsed = type(line.parsed)(headword="heel", senses=line.parsed.senses)
        split = act.get(Line, line_at(store, SPLIT).id)
        act.put(type(split)(**{**vars(split), "parsed": parsed}))
    fields = fields_of(client, SPLIT)
    assert fields["headword_printed"] == ""
    corrected(client, store, SPLIT, headword="outside heel-clip")
    assert names(store)["outside heel-clip"].printed == ""
    assert marked(client, "His heel was out of the ring.") == []


def test_a_ditto_kept_by_an_earlier_version_is_not_marked(client: FlaskClient, store: Store) -> None:
    """Earlier versions kept the printed form of a ditto with the name."""
    work(client, store, "make", CLIP)
    with store.act("Gwen", "as before") as act:
        (entry,) = act.all(Entry)
        term = type(entry.terms[0])(
            **{**vars(entry.terms[0]), "text": "outside clip", "printed": "„ outside"}
        )
        act.put(type(entry)(**{**vars(entry), "terms": (term, *entry.terms[1:])}))
    assert marked(client, "He stood outside the ring.") == []


@pytest.mark.parametrize(
    ("field", "typed"), [("note", "x" * 2001), ("s1_gloss", "x" * 2001), ("see", "a\0b")]
)
def test_a_text_that_cannot_be_stored_is_refused_and_the_line_is_kept(
    client: FlaskClient, store: Store, field: str, typed: str
) -> None:
    before = line_at(store, CLIP)

    shown = work(client, store, "correct", CLIP, **{**fields_of(client, CLIP), field: typed})

    assert "1 problem to fix" in shown
    assert line_at(store, CLIP) == before
