"""A reason typed by a person is shown as typed in every language, whatever it says."""

from dataclasses import replace

import pytest
from flask.testing import FlaskClient

from termbase.acts import entries as entry_acts
from termbase.acts.pages import add_page, set_aside
from termbase.acts.sources import save_source
from termbase.codes.lines import Aside
from termbase.fields.notes import CodedText
from termbase.record.entries import Entry, Origin, Signature, Term
from termbase.record.lines import Trouble
from termbase.record.pages import Line, LineState
from termbase.record.sources import Source, SourceKind
from termbase.store.engine import Store
from termbase.wordlists.pattern_files import write_pattern
from termbase.wordlists.stock import STOCK

TYPED_FOR_READINGS = (
    "by mistake",
    "by Gwen's dog",
    "the names changed after it was signed",
    "it was separated from c0009",
    "“quoted”",
)
TYPED_FOR_LINES = (
    "ditto",
    "illegible",
    "abbreviation",
    "another sport: cricket",
    "another style, according to its label “open”",
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
def test_a_typed_reason_for_reopening_is_never_translated(
    client: FlaskClient, store: Store, typed: str, language: str
) -> None:
    with store.act("Gwen", "signed it") as act:
        entry_acts.sign(act, "c0001", "language")
    client.post("/entries/c0001/readings/language", data={"do": "open", "why": typed})
    assert f": {typed}" in in_language(client, "/entries/c0001", language)
    assert typed in in_language(client, "/proof", language)


@pytest.mark.parametrize(("language", "said"), [("cy", "gan Gwen"), ("ga", "ag Gwen"), ("en", "by Gwen")])
def test_the_built_in_reason_is_translated_if_nobody_typed_one(
    client: FlaskClient, store: Store, language: str, said: str
) -> None:
    with store.act("Gwen", "signed it") as act:
        entry_acts.sign(act, "c0001", "language")
        entry_acts.reopen_reading(act, "c0001", "language", "")
    assert said in in_language(client, "/entries/c0001", language)


@pytest.mark.parametrize("language", ["cy", "ga", "en"])
@pytest.mark.parametrize("typed", TYPED_FOR_LINES)
def test_a_typed_reason_for_setting_aside_is_never_translated(
    client: FlaskClient, store: Store, typed: str, language: str
) -> None:
    with store.read() as reader:
        line = reader.all(Line)[0]
    address = f"/pages/w1/lines/{line.id}/aside"
    client.post(address, data={"version": line.version, "at": line.position, "reason": typed})
    assert f": {typed}" in in_language(client, f"/pages/w1?at={line.position}&show=aside", language)


@pytest.mark.parametrize(("typed", "told"), [("x" * 2001, "at most 2,000"), ("a\0b", "cannot")])
def test_a_typed_reason_is_limited_like_other_lines_and_stays_in_its_field(
    client: FlaskClient, store: Store, typed: str, told: str
) -> None:
    with store.read() as reader:
        line = reader.all(Line)[0]
    sent = {"version": line.version, "at": line.position, "reason": typed}
    answer = client.post(f"/pages/w1/lines/{line.id}/aside", data=sent)

    assert answer.status_code == 400
    assert told in answer.text
    with store.read() as reader:
        assert reader.get(Line, line.id) == line


def test_a_standard_reason_is_translated(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "set it aside") as act:
        set_aside(act, act.all(Line)[0].id, Aside.NAMED_SPORT(sport="cricket"))
    assert "another sport" not in in_language(client, "/pages/w1?at=1&show=aside", "cy")


NEWER = CodedText("reason.of.a.newer.version", {"of": "c0002"})


@pytest.mark.parametrize("language", ["cy", "ga", "en"])
def test_a_reason_of_a_newer_version_is_shown_raw(client: FlaskClient, store: Store, language: str) -> None:
    with store.act("Gwen", "as a newer version would") as act:
        line = act.all(Line)[0]
        assert line.parsed is not None
        parsed = replace(line.parsed, troubles=(Trouble(1, NEWER),))
        act.put(replace(line, state=LineState.SET_ASIDE, reason=NEWER, parsed=parsed))
        act.put(replace(act.get(Entry, "c0001"), language_reading=Signature(reopened=NEWER)))
    shown = "reason.of.a.newer.version (of: c0002)"

    assert in_language(client, f"/pages/w1?at={line.position}&show=aside", language).count(shown) >= 2
    for address in ("/entries/c0001", "/proof", "/history/entry/c0001", f"/history/line/{line.id}"):
        assert shown in in_language(client, address, language), address


def test_a_reason_of_a_newer_version_survives_an_edit(client: FlaskClient, store: Store) -> None:
    with store.act("Gwen", "as a newer version would") as act:
        act.put(replace(act.get(Entry, "c0001"), language_reading=Signature(reopened=NEWER)))
        entry_acts.save(act, replace(act.get(Entry, "c0001"), usage_note="Said of the leg only."))
    with store.read() as reader:
        assert reader.get(Entry, "c0001").language_reading.reopened == NEWER
