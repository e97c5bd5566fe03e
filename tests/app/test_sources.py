"""Sources and slips in the browser: lists, forms, sorting, witnesses."""

import csv
import io
from dataclasses import replace

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from termbase.acts import entries as entry_acts
from termbase.acts.sources import save_slip, save_source
from termbase.record.entries import Entry, Origin, Status, Term
from termbase.record.sources import Certainty, Slip, SlipKind, Source, SourceKind
from termbase.store.engine import Store
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

FORM = {"label": "Lantern", "kind": "newspaper", "title": "The Quarry Lantern", "version": "0"}
SLIP = {
    "text": "threw him with a back heel",
    "kind": "use",
    "certainty": "secure",
    "version": "0",
    "term": "",
}


@pytest.fixture
def advertiser(store: Store) -> Source:
    with store.act("Gwen", "added a source") as act:
        return save_source(
            act,
            Source("", "Advertiser", SourceKind.NEWSPAPER, "The Glanmorwen Advertiser", issued="1866/1909",
                   language="en"),
        )  # fmt: skip


@pytest.fixture
def heel(store: Store) -> Entry:
    """The entry back-heel, bachiad sawdl."""
    with store.act("Gwen", "created an entry") as act:
        terms = (
            Term("", "back-heel", "en", Origin.IN_USE, status=Status.PREFERRED),
            Term("", "bachiad sawdl", "cy", Origin.IN_USE, status=Status.PREFERRED),
        )
        return entry_acts.save(act, Entry(id="", terms=terms))


def put_slips(store: Store, source: Source, *slips: Slip) -> list[Slip]:
    with store.act("Gwen", "took slips") as act:
        return [save_slip(act, replace(slip, source_id=source.id)) for slip in slips]


def slip(text: str, **fields: object) -> Slip:
    return replace(Slip("", "", text), **fields)  # type: ignore[arg-type]


def sources_of(store: Store) -> tuple[Source, ...]:
    with store.read() as reader:
        return reader.all(Source)


def slips_of(store: Store) -> tuple[Slip, ...]:
    with store.read() as reader:
        return reader.all(Slip)


def rows(answer: TestResponse) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(answer.text.removeprefix("\ufeff"))))


def test_an_empty_list_says_what_a_source_is_and_how_to_add_one(client: FlaskClient) -> None:
    page = client.get("/sources").text

    assert "No sources yet." in page
    assert 'href="/sources/new"' in page


def test_a_source_is_added_with_all_its_fields(client: FlaskClient, store: Store) -> None:
    more = {
        "author": "A. Clerk", "editor": "B. Clerk", "container": "Papers", "publisher": "Reading Room",
        "place": "Glanmorwen", "issued": "1870/1909", "pages": "4", "archive": "Institute",
        "shelfmark": "N 60", "url": "https://example.org/lantern", "language": "en",
        "styles": "strap-hold, open-hold; boxing", "rights": "Free.", "note": "Weekly.",
    }  # fmt: skip
    answer = client.post("/sources/new", data=FORM | more)

    saved = sources_of(store)[0]
    assert answer.headers["Location"] == f"/sources/{saved.id}"
    assert saved.styles == ("strap-hold", "open-hold", "boxing")
    for name in more.keys() - {"styles"}:
        assert getattr(saved, name) == more[name]
    page = client.get(f"/sources/{saved.id}").text
    shown = ("1870 to 1909", "Institute, N 60", "Reading Room, Glanmorwen", "Free.")
    assert all(text in page for text in shown)


@pytest.mark.parametrize(
    ("field", "value"),
    [("label", ""), ("title", " "), ("issued", "about 1898"), ("language", "welsh!"), ("kind", "scroll")],
)
def test_an_invalid_field_shows_its_error_and_keeps_the_input(
    client: FlaskClient, store: Store, field: str, value: str
) -> None:
    valid = {"issued": "", "language": "", "note": "typed", **FORM}
    answer = client.post("/sources/new", data=valid | {field: value})

    assert answer.status_code == 400
    assert f'id="{field}-error"' in answer.text
    assert "typed</textarea>" in answer.text
    assert sources_of(store) == ()


def test_two_sources_never_share_a_label(client: FlaskClient, advertiser: Source) -> None:
    answer = client.post("/sources/new", data=FORM | {"label": " Advertiser "})

    assert answer.status_code == 400
    assert 'id="label-error"' in answer.text


@pytest.mark.parametrize(
    ("typed", "words"),
    [("189X", "between 1890 and 1899"), ("1898~", "about 1898"), ("1866/1909", "1866 to 1909"), ("", "")],
)
def test_an_edtf_date_is_shown_in_words_while_typing(client: FlaskClient, typed: str, words: str) -> None:
    answer = client.get("/sources/date", query_string={"edtf": typed}).json

    assert answer is not None
    assert answer["error"] == ""
    assert words in answer["words"]


def test_an_invalid_date_says_how_to_write_it(client: FlaskClient) -> None:
    answer = client.get("/sources/date", query_string={"edtf": "spring"}).json

    assert answer is not None
    assert answer["words"] == ""
    assert answer["error"]


def test_changing_a_source_keeps_its_line_pattern(client: FlaskClient, store: Store) -> None:
    client.post("/sources/new", data=FORM | {"kind": "word-list"})
    saved, pattern = sources_of(store)[0], write_pattern(next(iter(STOCK.values())))
    with store.act("Gwen", "gave it a pattern") as act:
        save_source(act, replace(saved, pattern=pattern))

    client.post(
        f"/sources/{saved.id}/edit", data=FORM | {"kind": "word-list", "version": "2", "place": "Vale"}
    )

    assert sources_of(store)[0].pattern == pattern
    assert sources_of(store)[0].place == "Vale"


def test_the_second_of_two_people_editing_a_source_sees_both_versions(
    client: FlaskClient, store: Store, advertiser: Source
) -> None:
    with store.act("Ifan", "changed it") as act:
        save_source(act, replace(advertiser, place="Upper Vale"))

    mine = FORM | {"label": "Advertiser", "version": "1", "place": "Lower Vale"}
    answer = client.post(f"/sources/{advertiser.id}/edit", data=mine)

    assert answer.status_code == 409
    assert 'value="Lower Vale"' in answer.text
    assert "Upper Vale</bdi>" in answer.text
    client.post(f"/sources/{advertiser.id}/edit", data=mine | {"version": "2"})
    assert sources_of(store)[0].place == "Lower Vale"


def test_a_source_in_use_is_kept_and_its_uses_are_listed(
    client: FlaskClient, store: Store, advertiser: Source
) -> None:
    put_slips(store, advertiser, slip("a fair fall"), slip("a foul"))

    answer = client.post(f"/sources/{advertiser.id}/remove")

    assert answer.status_code == 409
    assert "2 slips" in answer.text
    assert sources_of(store) == (advertiser,)


def test_an_unused_source_can_be_deleted(client: FlaskClient, store: Store, advertiser: Source) -> None:
    assert "Delete this source" in client.get(f"/sources/{advertiser.id}").text

    answer = client.post(f"/sources/{advertiser.id}/remove", follow_redirects=True)

    assert "Deleted the source Advertiser." in answer.text
    assert sources_of(store) == ()


@pytest.mark.parametrize(
    "path", ["s99", "s99/edit", "slips/q99", "s99/slips/new", "witnesses/t99", "unsorted?slip=q99"]
)
def test_missing_records_are_not_found(client: FlaskClient, path: str) -> None:
    assert client.get(f"/sources/{path}").status_code == 404


def test_the_list_is_filtered_by_text_ignoring_accents_and_by_kind(
    client: FlaskClient, advertiser: Source
) -> None:
    client.post("/sources/new", data=FORM | {"title": "Llusern y Chwarél"})

    part = client.get("/sources", query_string={"part": "1", "q": "chwarel"}).text
    assert "Lantern" in part
    assert "Advertiser" not in part
    assert "<html" not in part
    assert "No source matches." in client.get("/sources?find=nowhere").text
    assert "No source matches." in client.get("/sources?kind=recording").text
    assert client.get("/sources?kind=scroll").status_code == 400


@pytest.mark.parametrize(
    ("query", "labels"),
    [
        ("", ["Advertiser", "Lantern", "Ymafael"]),
        ("sort=label&desc=1", ["Ymafael", "Lantern", "Advertiser"]),
        ("sort=date", ["Ymafael", "Advertiser", "Lantern"]),
        ("sort=kind", ["Advertiser", "Lantern", "Ymafael"]),
        ("sort=slips&desc=1", ["Lantern", "Advertiser", "Ymafael"]),
        ("sort=nonsense&page=99", ["Advertiser", "Lantern", "Ymafael"]),
    ],
)
def test_the_list_is_sorted_and_exported_as_shown(
    client: FlaskClient, store: Store, advertiser: Source, query: str, labels: list[str]
) -> None:
    client.post("/sources/new", data=FORM)
    client.post("/sources/new", data=FORM | {"label": "Ymafael", "kind": "picture", "issued": "184X"})
    put_slips(store, sources_of(store)[1], slip("a fair fall"))

    answer = client.get(f"/sources/list.csv?{query}")

    assert [row["label"] for row in rows(answer)] == labels
    assert "sources.csv" in answer.headers["Content-Disposition"]
    page = client.get(f"/sources?{query}").text
    assert sorted(labels, key=lambda label: page.index(f">{label}</bdi></a></th>")) == labels


def test_a_slip_is_added_and_the_next_form_keeps_page_and_date(
    client: FlaskClient, store: Store, advertiser: Source, heel: Entry
) -> None:
    answer = client.post(
        f"/sources/{advertiser.id}/slips/new",
        data=SLIP | {"name": "back heel", "page": "3", "column": "2", "date": "1889-08-03", "line": "14",
                     "term": heel.terms[0].id},
        follow_redirects=True,
    )  # fmt: skip

    taken = slips_of(store)[0]
    assert (taken.text, taken.name, taken.page, taken.date, taken.line) == (
        "threw him with a back heel", "back heel", "3", "1889-08-03", "14",
    )  # fmt: skip
    assert taken.term_id == heel.terms[0].id
    assert all(f'value="{kept}"' in answer.text for kept in ("3", "2", "1889-08-03"))
    assert 'value="14"' not in answer.text
    assert "Added a slip from Advertiser: back heel." in answer.text


def test_a_quotation_is_kept_word_for_word(client: FlaskClient, store: Store, advertiser: Source) -> None:
    client.post(
        f"/sources/{advertiser.id}/slips/new", data=SLIP | {"text": "  thrown  “fair” ,\r\n ſo they said "}
    )

    assert slips_of(store)[0].text == "  thrown  “fair” ,\n ſo they said "


@pytest.mark.parametrize(
    ("field", "value"), [("text", "  "), ("date", "Tuesday"), ("kind", "shout"), ("certainty", "very")]
)
def test_an_invalid_slip_says_why_beside_the_field(
    client: FlaskClient, store: Store, advertiser: Source, field: str, value: str
) -> None:
    answer = client.post(
        f"/sources/{advertiser.id}/slips/new", data={**SLIP, "date": "", "name": "kept", field: value}
    )

    assert answer.status_code == 400
    assert f'id="{field}-error"' in answer.text
    assert 'value="kept"' in answer.text
    assert slips_of(store) == ()


def test_a_missing_name_is_refused(client: FlaskClient, store: Store, advertiser: Source) -> None:
    answer = client.post(f"/sources/{advertiser.id}/slips/new", data=SLIP | {"term": "t99", "term_find": "x"})

    assert answer.status_code == 400
    assert "The name that it is evidence for does not exist." in answer.text
    assert slips_of(store) == ()


@pytest.mark.parametrize(
    ("typed", "offered"),
    [("back-heel", "back-heel"), ("fachiad sawdl", "bachiad sawdl"), ("bach", "bachiad sawdl"), ("zzzz", "")],
)
def test_a_name_is_suggested_for_any_of_its_forms(
    client: FlaskClient, heel: Entry, typed: str, offered: str
) -> None:
    part = client.get("/sources/terms", query_string={"q": typed}).text

    assert (offered in part) if offered else ("back-heel" not in part)
    assert "sort it later" in part


def test_without_scripts_a_button_searches_for_the_name_and_keeps_the_form(
    client: FlaskClient, store: Store, advertiser: Source, heel: Entry
) -> None:
    answer = client.post(
        f"/sources/{advertiser.id}/slips/new", data=SLIP | {"term_find": "back", "look": "1"}
    )

    assert answer.status_code == 200
    assert f'value="{heel.terms[0].id}"' in answer.text
    assert "threw him with a back heel</textarea>" in answer.text
    assert slips_of(store) == ()


def test_editing_and_deleting_a_slip_can_be_undone(
    client: FlaskClient, store: Store, advertiser: Source
) -> None:
    made = put_slips(store, advertiser, slip("a fair fall"))[0]
    client.post(f"/sources/slips/{made.id}", data=SLIP | {"version": "1", "certainty": "doubtful"})
    assert slips_of(store)[0].certainty is Certainty.DOUBTFUL

    answer = client.post(f"/sources/slips/{made.id}/remove", follow_redirects=True)

    assert "Undo" in answer.text
    assert slips_of(store) == ()
    with store.read() as reader:
        last = reader.last_acts(1)[0].id
    client.post(f"/undo/{last}")
    assert len(slips_of(store)) == 1


def test_the_second_of_two_people_editing_a_slip_sees_both_versions(
    client: FlaskClient, store: Store, advertiser: Source
) -> None:
    made = put_slips(store, advertiser, slip("a fair fall"))[0]
    client.post(f"/sources/slips/{made.id}", data=SLIP | {"version": "1", "place": "theirs"})

    answer = client.post(f"/sources/slips/{made.id}", data=SLIP | {"version": "1", "place": "mine"})

    assert answer.status_code == 409
    assert 'value="mine"' in answer.text
    assert "theirs</bdi>" in answer.text


def test_slips_of_a_source_are_sorted_by_locator(
    client: FlaskClient, store: Store, advertiser: Source
) -> None:
    put_slips(store, advertiser, slip("third", page="12"), slip("second", page="9", line="10"),
              slip("first", page="9", line="2"))  # fmt: skip

    page = client.get(f"/sources/{advertiser.id}").text

    assert page.index(">first<") < page.index(">second<") < page.index(">third<")


def test_slips_are_sorted_by_date_with_undated_ones_last(
    client: FlaskClient, store: Store, advertiser: Source
) -> None:
    put_slips(store, advertiser, slip("b", date="187X"), slip("a", date="1869?"), slip("c", date="1889-08"))
    client.post("/sources/new", data=FORM)
    put_slips(store, sources_of(store)[1], slip("undated"))

    def texts(query: str) -> list[str]:
        return [row["quotation"] for row in rows(client.get(f"/sources/slips.csv?{query}"))]

    assert texts("") == ["a", "b", "c", "undated"]
    assert texts("desc=1") == ["c", "b", "a", "undated"]
    assert texts("sort=source") == ["b", "a", "c", "undated"]


def test_slips_are_filtered_by_source_kind_certainty_sorting_and_words(
    client: FlaskClient, store: Store, advertiser: Source, heel: Entry
) -> None:
    put_slips(
        store, advertiser,
        slip("by the heel", term_id=heel.terms[0].id),
        slip("rule of the fair", kind=SlipKind.RULE),
        slip("100% of it", certainty=Certainty.DOUBTFUL, name="cwymp"),
    )  # fmt: skip

    def texts(query: str) -> set[str]:
        return {row["quotation"] for row in rows(client.get(f"/sources/slips.csv?{query}"))}

    assert texts("sorting=sorted") == {"by the heel"}
    assert texts("sorting=unsorted") == {"rule of the fair", "100% of it"}
    assert texts("kind=rule") == {"rule of the fair"}
    assert texts("certainty=doubtful") == {"100% of it"}
    assert texts("find=100%25") == {"100% of it"}
    assert texts("find=cwymp") == {"100% of it"}
    assert texts(f"source={advertiser.id}&find=THE+heel") == {"by the heel"}
    assert texts("source=s99") == set()
    assert client.get("/sources/slips?kind=shout").status_code == 400
    assert client.get("/sources/slips?sorting=half").status_code == 400


def test_a_long_list_of_slips_is_paged(client: FlaskClient, store: Store, advertiser: Source) -> None:
    put_slips(store, advertiser, *(slip(f"slip number {n:03}", date="1889", page=str(n)) for n in range(120)))

    first, last = client.get("/sources/slips").text, client.get("/sources/slips?page=3").text

    assert "slip number 049" in first
    assert "slip number 050" not in first
    assert "slip number 119" in last
    assert 'rel="next"' in first
    assert 'rel="next"' not in last


def test_unsorted_slips_are_sorted_one_after_another_by_digit_keys(
    client: FlaskClient, store: Store, advertiser: Source, heel: Entry
) -> None:
    one, two = put_slips(store, advertiser, slip("a", name="back heel"), slip("b", name="sawdl"))

    page = client.get("/sources/unsorted").text
    assert "2 slips remaining" in page
    assert f'value="{heel.terms[0].id}" data-key="1"' in page
    answer = client.post(
        f"/sources/unsorted/{one.id}", data={"term": heel.terms[0].id}, follow_redirects=True
    )
    assert slips_of(store)[0].term_id == heel.terms[0].id
    assert f"/sources/unsorted/{two.id}" in answer.text
    client.post(f"/sources/unsorted/{two.id}", data={"term": heel.terms[1].id})
    assert "Every slip is sorted to a name." in client.get("/sources/unsorted").text


def test_a_slip_can_be_skipped_and_comes_up_again(
    client: FlaskClient, store: Store, advertiser: Source
) -> None:
    one, two = put_slips(store, advertiser, slip("a"), slip("b"))

    answer = client.post(f"/sources/unsorted/{one.id}/later", follow_redirects=True)
    assert f"/sources/unsorted/{two.id}" in answer.text
    answer = client.post(f"/sources/unsorted/{two.id}/later", follow_redirects=True)
    assert f"/sources/unsorted/{one.id}" in answer.text


@pytest.mark.parametrize("term", ["", "t99"])
def test_sorting_to_no_name_is_refused(
    client: FlaskClient, store: Store, advertiser: Source, term: str
) -> None:
    made = put_slips(store, advertiser, slip("a"))[0]

    assert client.post(f"/sources/unsorted/{made.id}", data={"term": term}).status_code == 400


def test_near_identical_slips_are_one_witness_until_an_editor_separates_and_rejoins_them(
    client: FlaskClient, store: Store, advertiser: Source, heel: Entry
) -> None:
    client.post("/sources/new", data=FORM)
    text = "Harries brought him down with as clean a back heel as we have seen"
    term = heel.terms[0].id
    slip_id = put_slips(store, advertiser, slip(text, term_id=term))[0]
    two = put_slips(store, sources_of(store)[1], slip(text + ".", term_id=term))[0]
    other = slip("another matter altogether, of which nothing more", term_id=term)
    three = put_slips(store, sources_of(store)[1], other)[0]
    address = f"/sources/witnesses/{term}"
    assert "<b>2 witnesses</b> in 3 slips; 1 witness of use" in client.get(address).text

    client.post(address, data={"do": "part", "slip": [slip_id.id]})
    assert "<b>3 witnesses</b>" in client.get(address).text
    client.post(address, data={"do": "join", "slip": [slip_id.id, two.id, three.id]})
    assert "<b>1 witness</b>" in client.get(address).text
    client.post(address, data={"do": "part", "slip": [three.id]})
    assert "<b>2 witnesses</b>" in client.get(address).text


@pytest.mark.parametrize("data", [{"do": "join"}, {"do": "part"}, {"do": "join", "slip": ["q99", "q98"]}])
def test_joining_or_separating_nothing_is_refused(
    client: FlaskClient, heel: Entry, data: dict[str, object]
) -> None:
    assert client.post(f"/sources/witnesses/{heel.terms[0].id}", data=data).status_code == 400


def test_a_title_that_is_too_long_is_refused_and_kept_in_its_field(client: FlaskClient) -> None:
    title = "longs" * 500
    data = {"label": "Lantern", "title": title, "kind": "newspaper", "version": "0"}
    answer = client.post("/sources/new", data=data)
    assert answer.status_code == 400
    assert "The text is 2,500 characters long, but at most 2,000 are allowed here." in answer.text
    assert title in answer.text
