"""A reason that a person typed is shown as it was typed, in every language, whatever it says."""

import pytest
from flask.testing import FlaskClient

from termbase.acts import entries as entry_acts
from termbase.acts.pages import add_page, set_aside
from termbase.acts.sources import save_source
from termbase.entries import Entry, Origin, Signature, Term
from termbase.linepatterns import STOCK, write_pattern
from termbase.pages import Line
from termbase.sources import Source, SourceKind
from termbase.store import Store

TYPED_FOR_READINGS = (
    "by mistake",
    "by Gwen's dog",
    "the names changed after it was signed",
    "it was parted from c0009",
    "“quoted”",
)
TYPED_FOR_LINES = (
    "ditto",
    "illegible",
    "abbreviation",
    "another sport: cricket",
    "another style, by its label “open”",
    "breaks the rules under nothing: no, really",
    "This is a blank line, not a record.",
)


@pytest.fixture(autouse=True)
def record(store: Store) -> None:
    pattern = write_pattern(STOCK["bare pairs"])
    with store.act("Gwen", "made it") as act:
        entry_acts.save(act, Entry("", terms=(Term("", "camu", "cy", Origin.IN_USE),)))
        source = save_source(act, Source("", "List", SourceKind.WORD_LIST, "A list", pattern=pattern))
        add_page(act, source.id, "1", "Belt - gwregys\nFist - dwrn\n")


def in_language(client: FlaskClient, address: str, language: str) -> str:
    page = client.get(address, headers={"Accept-Language": language})
    return " ".join(page.text.replace("&#39;", "'").split())


@pytest.mark.parametrize("language", ["cy", "ga", "en"])
@pytest.mark.parametrize("typed", TYPED_FOR_READINGS)
def test_why_a_reading_was_opened_again_is_never_translated(
    client: FlaskClient, store: Store, typed: str, language: str
) -> None:
    with store.act("Gwen", "signed it") as act:
        entry_acts.sign(act, "c0001", "language")
    client.post("/entries/c0001/readings/language", data={"do": "open", "why": typed})
    assert f": {typed}" in in_language(client, "/entries/c0001", language)
    assert typed in in_language(client, "/proof", language)


@pytest.mark.parametrize(("language", "said"), [("cy", "gan Gwen"), ("ga", "ag Gwen"), ("en", "by Gwen")])
def test_where_nobody_gave_a_reason_our_own_words_are_translated(
    client: FlaskClient, store: Store, language: str, said: str
) -> None:
    with store.act("Gwen", "signed it") as act:
        entry_acts.sign(act, "c0001", "language")
        entry_acts.unsign(act, "c0001", "language", "")
    assert said in in_language(client, "/entries/c0001", language)


@pytest.mark.parametrize(
    ("kept", "said"),
    [
        ("by mistake", ": by mistake"),
        ("by Gwen", ": gan Gwen"),
        ("thought better of it", ": thought better of it"),
    ],
)
def test_reasons_kept_by_earlier_versions_keep_working(
    client: FlaskClient, store: Store, kept: str, said: str
) -> None:
    """Earlier versions kept what a person typed without quotation marks."""
    with store.act("Gwen", "as before") as act:
        entry = act.get(Entry, "c0001")
        values = {**vars(entry), "language_reading": Signature(reopened=kept)}
        act.put(Entry(**values))
    assert said in in_language(client, "/entries/c0001", "cy")


@pytest.mark.parametrize("language", ["cy", "ga", "en"])
@pytest.mark.parametrize("typed", TYPED_FOR_LINES)
def test_why_a_line_was_set_aside_is_never_translated(
    client: FlaskClient, store: Store, typed: str, language: str
) -> None:
    with store.read() as reader:
        line = reader.all(Line)[0]
    address = f"/pages/w1/lines/{line.id}/aside"
    client.post(address, data={"version": line.version, "at": line.position, "reason": typed})
    assert f": {typed}" in in_language(client, f"/pages/w1?at={line.position}&show=aside", language)


def test_a_usual_reason_is_ours_and_translated(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "set it aside") as act:
        set_aside(act, act.all(Line)[0].id, "another sport: cricket")
    assert "another sport" not in in_language(client, "/pages/w1?at=1&show=aside", "cy")
