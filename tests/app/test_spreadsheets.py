"""An ordinary spreadsheet: its encoding and delimiter, its sources and dates, several names in a cell."""

import re
from io import BytesIO

import pytest
from flask.testing import FlaskClient
from lxml.html import HtmlElement, fromstring

from termbase.acts.sources import save_source
from termbase.record.entries import Entry, Origin, Term
from termbase.record.sources import Certainty, Slip, SlipKind, Source, SourceKind
from termbase.store.engine import Store

ROWS = """English;Irish;Notes;Source;Date;Quotation
belt;crios;worn low;Éigse 1898;1898;
back-heel;cos siar, cúlchos;;The Lantern;12 May 1889;“He threw him with a clean Back-heel.”
fall;titim;;;1890;
"""
PLAIN = "English;Irish;Source;Date\nbelt;crios;Éigse;1898\n"


@pytest.fixture(autouse=True)
def irish(store: Store) -> None:
    with store.act("Gwen", "a language more") as act:
        termbase = act.termbase()
        act.put(type(termbase)(**{**vars(termbase), "vernaculars": ("ga", "cy")}))


def upload(client: FlaskClient, content: bytes, name: str = "list.csv", **more: str) -> str:
    answer = client.post("/exchange", data={"file": (BytesIO(content), name), **more})
    assert answer.status_code == 303
    return answer.location


def page_of(client: FlaskClient, address: str) -> HtmlElement:
    return fromstring(client.get(address).get_data(as_text=True))


def fields_of(page: HtmlElement) -> dict[str, str]:
    """Return the form data as a browser would send it."""
    (form,) = page.xpath('//main//form[contains(@class, "exchange")]')
    return {name: value or "" for name, value in form.form_values()}


def import_table(client: FlaskClient, content: bytes, **more: str) -> None:
    address = upload(client, content)
    answer = client.post(address, data={**fields_of(page_of(client, address)), **more})
    assert answer.status_code == 303, fromstring(answer.text).xpath('string(//p[@class="error"])')
    assert client.post(answer.location, data={"take": "all"}).status_code == 303


def slips(store: Store) -> dict[str, Slip]:
    """Return the slips by the name that they bear witness to; the key is empty for an unsorted one."""
    with store.read() as reader:
        names = {term.id: term.text for entry in reader.all(Entry) for term in entry.terms}
        return {names.get(slip.term_id, ""): slip for slip in reader.all(Slip)}


def terms(store: Store) -> dict[str, Term]:
    with store.read() as reader:
        return {term.text: term for entry in reader.all(Entry) for term in entry.terms}


@pytest.mark.parametrize(
    ("encoding", "expected"),
    [
        ("cp1252", "Windows-1252"),
        ("utf-8", "UTF-8"),
        ("utf-8-sig", "UTF-8"),
        ("utf-16", "UTF-16"),
        ("mac-roman", "Mac OS Roman"),
    ],
)
def test_encoding_and_delimiter_are_detected_and_shown(
    client: FlaskClient, encoding: str, expected: str
) -> None:
    page = page_of(client, upload(client, ROWS.encode(encoding)))
    fields = fields_of(page)
    assert f"It was read as {expected}." in page.text_content()
    assert fields["delimiter"] == ";"
    assert "Éigse 1898" in page.text_content()
    assert [fields[f"column-{n}"] for n in range(6)] == [
        *("names:en", "names:ga", "editor_note", "source", "date", "quotation"),
    ]


def test_another_encoding_can_be_chosen(client: FlaskClient) -> None:
    address = upload(client, "English;Irish\nbelt;É\n".encode("cp850"))
    page = page_of(client, address)
    assert "DOS" not in page.xpath("string(//fieldset/p)")
    answer = client.post(address, data={**fields_of(page), "encoding": "cp850", "do": "read"})
    assert answer.status_code == 303
    page = page_of(client, address)
    assert "It was read as DOS (850)." in page.text_content()
    assert "É" in page.xpath('string(//td[@class="samples"][contains(., "É")])')


def test_an_impossible_encoding_is_reported_beside_its_field(client: FlaskClient) -> None:
    address = upload(client, PLAIN.encode("cp1252"))
    fields = fields_of(page_of(client, address))
    answer = client.post(address, data={**fields, "encoding": "utf-8", "do": "read"})
    assert answer.status_code == 400
    assert 'id="encoding-error"' in answer.text
    assert fields_of(page_of(client, address))["encoding"] == "windows-1252"


def test_open_questions_are_asked_beside_their_fields(client: FlaskClient, store: Store) -> None:
    address = upload(client, ROWS.encode("cp1252"))
    fields = fields_of(page_of(client, address))
    answer = client.post(address, data=fields)
    page = fromstring(answer.text)
    assert answer.status_code == 400
    assert "“cos siar, cúlchos” could be one name or several." in page.xpath(
        'string(//*[@id="split-1-error"])'
    )

    answer = client.post(address, data={**fields, "split-1": "several"})
    page = fromstring(answer.text)
    assert answer.status_code == 400
    assert "Row 2 has several names" in page.xpath('string(//*[@id="default-witnessed-error"])')
    assert terms(store) == {}


def test_rows_with_a_source_create_slips_and_nothing_gains_certainty(
    client: FlaskClient, store: Store
) -> None:
    with store.act("Gwen", "added a source") as act:
        save_source(act, Source("", "the lantern", SourceKind.NEWSPAPER, "The Quarry Lantern"))
    import_table(client, ROWS.encode("cp1252"), **{"split-1": "several", "default-witnessed": "names:ga"})

    result = slips(store)
    assert result.keys() == {"crios", "back-heel"}
    heel = result["back-heel"]
    assert (heel.text, heel.name, heel.date) == (
        "“He threw him with a clean Back-heel.”", "Back-heel", "1889-05-12",
    )  # fmt: skip
    assert {(s.kind, s.certainty) for s in result.values()} == {(SlipKind.NOT_STATED, Certainty.NOT_STATED)}
    assert result["crios"].date == "1898"
    assert "no quotation" in result["crios"].note
    assert {term.origin for term in terms(store).values()} == {Origin.NOT_STATED}
    assert {"cos siar", "cúlchos"} <= terms(store).keys()
    with store.read() as reader:
        assert sorted(source.label for source in reader.all(Source)) == ["the lantern", "Éigse 1898"]
        notes = {e.terms[0].text: e.editor_note for e in reader.all(Entry)}
    assert notes["belt"] == "worn low"
    assert "Date: 1890" in notes["fall"]  # a date without a source creates no slip, but is kept


def test_a_cell_can_be_one_name_and_a_source_can_witness_all_names(client: FlaskClient, store: Store) -> None:
    content = "English;Irish;Source;Date\nheel, back;cos siar;Éigse;1898\n"
    import_table(client, content.encode(), **{"split-0": "one", "default-witnessed": "all"})
    assert slips(store).keys() == {"heel, back", "cos siar"}


def test_slips_can_stay_unsorted(client: FlaskClient, store: Store) -> None:
    import_table(client, PLAIN.encode(), **{"default-witnessed": "none"})
    assert slips(store).keys() == {""}
    assert slips(store)[""].text == "belt; crios"


def test_kind_certainty_and_origin_are_read_from_their_columns(client: FlaskClient, store: Store) -> None:
    content = (
        "name,language,origin,source,quotation,slip kind,certainty,page\n"
        "belt,en,in use,Mail,He took the belt.,use,probable,3\n"
    )
    import_table(client, content.encode())
    slip = slips(store)["belt"]
    assert (slip.kind, slip.certainty, slip.page) == (SlipKind.USE, Certainty.PROBABLE, "3")
    assert terms(store)["belt"].origin is Origin.IN_USE


def test_an_ambiguous_date_is_kept_as_given(client: FlaskClient, store: Store) -> None:
    content = "name,language,source,date\nbelt,en,Mail,4/5/1889\nhip,en,Mail,31/5/1889\n"
    import_table(client, content.encode())
    assert slips(store)["belt"].date == ""
    assert "4/5/1889" in slips(store)["belt"].note
    assert slips(store)["hip"].date == "1889-05-31"


def test_the_preview_shows_slips_and_new_sources_first(client: FlaskClient, store: Store) -> None:
    address = upload(client, PLAIN.encode())
    fields = fields_of(page_of(client, address)) | {"default-witnessed": "all"}
    preview = page_of(client, client.post(address, data=fields).location).text_content()
    output = " ".join(preview.split())
    assert "2 slips would be created. New sources: Éigse." in output
    assert re.search(r"slip: crios · “crios” \(Éigse, 1898\)", output)
    with store.read() as reader:
        assert reader.count(Slip) == reader.count(Source) == 0


def test_the_same_slip_of_a_known_entry_is_not_created_twice(client: FlaskClient, store: Store) -> None:
    import_table(client, PLAIN.encode(), **{"default-witnessed": "all"})
    content = "entry;English;Irish;Source;Date\nc0001;belt;crios;Éigse;1898\nc0001;belt;;Mail;1899\n"
    import_table(client, content.encode(), **{"default-witnessed": "all"})
    with store.read() as reader:
        assert (reader.count(Slip), reader.count(Entry)) == (3, 1)


@pytest.mark.parametrize(
    ("heading", "key"),
    [
        ("Notes", "editor_note"), ("Nodiadau", "editor_note"), ("Nótaí", "editor_note"),
        ("Ffynhonnell", "source"), ("Foinse", "source"), ("Dyddiad", "date"), ("Bliain", "date"),
        ("Dyfyniad", "quotation"), ("Sampla", "quotation"), ("Rhan ymadrodd", "part_of_speech"),
        ("Inscne", "gender"), ("Gaeilge", "names:ga"), ("Saesneg", "names:en"), ("Irish name", "names:ga"),
        ("Enw Cymraeg", "names:cy"), ("Béarla", "names:en"),
    ],
)  # fmt: skip
def test_ordinary_headings_are_recognised_in_three_languages(
    client: FlaskClient, heading: str, key: str
) -> None:
    fields = fields_of(page_of(client, upload(client, f"Head,{heading}\na,b\n".encode())))
    assert fields["column-1"] == key
