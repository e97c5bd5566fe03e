"""Finding in the browser: conditions with dates, what anybody may type, keys that are out of date."""

from urllib.parse import quote

import pytest
from flask.testing import FlaskClient
from sqlalchemy import update

from termbase.acts import entries
from termbase.acts.sources import save_slip, save_source
from termbase.entries import Entry, Origin, Term
from termbase.sources import Slip, Source, SourceKind
from termbase.store import Store, schema


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


def test_a_date_that_cannot_be_read_is_told_beside_its_field_and_stays(client: FlaskClient) -> None:
    page = client.get("/entries?since=18x9").text

    assert "not a date that can be read" in page
    assert 'value="18x9"' in page
    assert shown(client, since="18x9") == {"gafael", "bachiad", "cic"}


def test_keys_out_of_date_are_told_with_the_command_that_mends_them(
    client: FlaskClient, store: Store
) -> None:
    assert "wordhold reindex" not in client.get("/entries").text
    with store.engine.begin() as connection:
        connection.execute(update(schema.key_build).values(version="of old"))
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
def test_whatever_is_typed_is_answered(client: FlaskClient, path: str, kind: str) -> None:
    answer = client.get(path.format(quote(TYPED[kind])))

    assert answer.status_code in (200, 303)
    assert "<script>alert" not in answer.text


@pytest.mark.parametrize(
    "raw", ["%FF%FE", "%ED%A0%80", "%C3", "%ED%B0%80%ED%A0%80"], ids=["bytes", "half", "cut", "turned"]
)
@pytest.mark.parametrize("path", ["/entries?q={}", "/entries/find?part=1&q={}", "/entries/choose?q={}"])
def test_bytes_that_are_no_text_are_answered(client: FlaskClient, path: str, raw: str) -> None:
    assert client.get(path.format(raw)).status_code in (200, 303, 400)
