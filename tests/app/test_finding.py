"""Finding in the browser: conditions with dates, what anybody may type, keys that are out of date."""

from urllib.parse import quote

import pytest
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import update

from termbase.acts import entries
from termbase.acts.sources import save_slip, save_source
from termbase.record.entries import Entry, Origin, Term
from termbase.record.sources import Slip, Source, SourceKind
from termbase.store import tables
from termbase.store.engine import Store


@pytest.fixture(autouse=True)
def _filled(store: Store) -> None:
    """Three entries: quoted 1871, quoted in some year of the nineties, never."""
    with store.act("Nia", "filled") as act:
        paper = save_source(
            act, Source("", "Mail", SourceKind.NEWSPAPER, "The Upland Mail", issued="1871-06-03")
        )
        for text, date in (("gafael", ""), ("bachiad", "189X"), ("cic", None)):
            entry = entries.save(act, Entry("", terms=(Term("", text, "cy", Origin.IN_USE),)))
            if date is not None:
                save_slip(act, Slip("", paper.id, f"a {text}", date=date, term_id=entry.terms[0].id))


def shown(client: FlaskClient, **asked: str) -> set[str]:
    page = client.get("/entries", query_string={"lang": "cy", **asked}).text
    return {text for text in ("gafael", "bachiad", "cic") if f">{text}<" in page}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [
        ({"since": "1890"}, {"bachiad"}),
        ({"until": "1880"}, {"gafael"}),
        ({"since": "1871-06-03", "until": "1871-06-03"}, {"gafael"}),
        ({"since": "1895", "until": "1895"}, {"bachiad"}),
        ({"since": "1900"}, set()),
        ({"since": "1870", "q": "bach"}, {"bachiad"}),
    ],
)
def test_the_list_is_narrowed_by_when_names_are_quoted(
    client: FlaskClient, asked: dict[str, str], expected: set[str]
) -> None:
    assert shown(client, **asked) == expected


def test_an_unreadable_date_is_reported_beside_its_field_and_kept(client: FlaskClient) -> None:
    page = client.get("/entries?since=18x9").text

    assert "“18x9” is not a valid date" in page
    assert 'value="18x9"' in page
    assert shown(client, since="18x9") == {"gafael", "bachiad", "cic"}


def test_outdated_keys_are_reported_with_the_command_that_rebuilds_them(
    client: FlaskClient, store: Store
) -> None:
    assert "wordhold reindex" not in client.get("/entries").text
    with store.engine.begin() as connection:
        connection.execute(update(tables.key_build).values(version="of old"))
    with store.act("Nia", "another") as act:
        entries.save(act, Entry("", terms=(Term("", "hank", "en", Origin.IN_USE),)))

    page = client.get("/entries").text

    assert "wordhold reindex" in page
    assert "Welsh" in page


TYPED = {
    "ten thousand letters": "a" * 10_000,
    "ten thousand words": "ab " * 3_333,
    "spaces": "   \t ",
    "no-break spaces": "\u00a0\u2003",
    "combining marks": "\u0301\u0302\u0303",
    "many marks on a letter": "a" + "\u0301" * 3000,
    "right to left": "\u202eלום\u202c",
    "Arabic": "مصارعة",
    "emoji": "🤼‍♂️🏴󠁧󠁢󠁷󠁬󠁳󠁿",
    "NUL": "gaf\x00ael",
    "control signs": "\x01\x1b\x7f",
    "SQL": "'; DROP TABLE entry; --",
    "LIKE": "%_%\\",
    "full-text operators": '"gafael" OR NEAR(* -bachiad) col:x ^',
    "percent signs": "%s %d %(name)s",
    "template": "{{ 7*7 }} {% x %}",
    "markup": "<script>alert(1)</script>",
    "zero width": "\u200b\u200d\ufeff",
    "private use": "\ue000\U0010ffff",
    "hyphens": "-----",
}


PATHS = (
    *("/entries?q={}", "/entries?find={}", "/entries?part=1&q={}", "/entries/find?part=1&q={}"),
    *("/entries/choose?q={}", "/entries/choose?what=name&q={}", "/entries/export.csv?q={}"),
    *("/entries/new?text={}", "/entries?section={}", "/entries?source={}", "/entries?since={}"),
)


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("kind", TYPED)
def test_find_accepts_any_input(client: FlaskClient, path: str, kind: str) -> None:
    answer = client.get(path.format(quote(TYPED[kind])))

    assert answer.status_code in (200, 303)
    assert "<script>alert" not in answer.text


@pytest.mark.parametrize(
    "raw", ["%FF%FE", "%ED%A0%80", "%C3", "%ED%B0%80%ED%A0%80"], ids=["bytes", "half", "cut", "turned"]
)
@pytest.mark.parametrize("path", ["/entries?q={}", "/entries/find?part=1&q={}", "/entries/choose?q={}"])
def test_bytes_that_are_not_text_get_an_error_message(client: FlaskClient, path: str, raw: str) -> None:
    assert client.get(path.format(raw)).status_code in (200, 303, 400)


ANY_TEXT = st.text(st.characters() | st.sampled_from("%_'\"*-\u0301\u200d\u202e\x00 "), max_size=60)


@settings(max_examples=500, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(ANY_TEXT | st.binary(max_size=40), st.sampled_from(("/entries/find?part=1&q=", "/entries/choose?q=")))
def test_any_text_and_any_bytes_at_all_are_answered(
    client: FlaskClient, typed: str | bytes, path: str
) -> None:
    raw = typed if isinstance(typed, bytes) else typed.encode("utf-8", "surrogatepass")

    assert client.get(path + quote(raw)).status_code in (200, 303, 400)


def form_of(client: FlaskClient, term_id: str, entry_id: str) -> str:
    return client.get(f"/entries/{entry_id}/edit/term-{term_id}").text


def test_letters_that_are_two_are_ticked_kept_and_change_the_order(client: FlaskClient, store: Store) -> None:
    with store.act("Nia", "names") as act:
        for text in ("bagl", "bangor", "banha"):
            made = entries.save(act, Entry("", terms=(Term("", text, "cy", Origin.IN_USE),)))
            if text == "bangor":
                entry = made
    term_id = entry.terms[0].id
    page = form_of(client, term_id, entry.id)
    assert "n|g in ban|gor counts as two letters here" in page.replace("n|gn", "n|g")
    mark = page.split('name="version" value="')[1].split('"')[0]
    data = {"version": mark, "text": "bangor", "language": "cy", "origin": "in use", "parted": "2"}

    assert client.post(f"/entries/{entry.id}/edit/term-{term_id}", data=data).status_code == 303

    with store.read() as reader:
        assert reader.get(Entry, entry.id).terms[0].sort_text == "ban\u034fgor"
    again = form_of(client, term_id, entry.id)
    assert 'value="2" checked' in again
    assert "Sorted as ticked" in again


def test_the_characters_of_a_language_and_their_keys_are_reported(client: FlaskClient) -> None:
    told = client.get("/entries/signs/ga").json
    assert told is not None
    assert {"ḃ", "ꝺ", "á", "⁊"} <= set(told["signs"])
    assert told["families"]["d"] == ["ḋ", "ꝺ"]
    assert told["families"]["7"] == ["⁊"]
    welsh = client.get("/entries/signs/cy").json
    assert welsh is not None
    assert welsh["families"]["w"] == ["ŵ"]
    assert welsh["families"]["W"] == ["Ŵ"]


@pytest.mark.parametrize("tag", ["x", "zz-", "und", "%00", "a" * 300])
def test_an_unknown_tag_has_no_characters_or_the_usual_ones(client: FlaskClient, tag: str) -> None:
    assert client.get(f"/entries/signs/{tag}").status_code == 200


@pytest.mark.parametrize(
    ("printed", "modern"),
    [("buaileaḋ", "buaileadh"), ("ꝼeaꞃ ⁊ bean", "fear agus bean"), ("fear", ""), ("", "")],
)
def test_print_in_gaelic_type_is_shown_in_modern_letters(
    client: FlaskClient, printed: str, modern: str
) -> None:
    answer = client.get("/entries/modern", query_string={"printed": printed}).json
    assert answer is not None
    assert answer["modern"] == modern


def test_the_list_shows_where_in_an_entry_the_words_were_found(demo_client: FlaskClient) -> None:
    page = demo_client.get("/entries?q=heel him from behind").text
    assert page.index('href="/entries/c0015"') < page.index("in the definition")
    assert "“heel” in the name “back-heel”" in page
    offered = demo_client.get("/entries/find?part=1&q=heel pushing str").text
    assert "“pushing”, “str” in the definition" in offered
