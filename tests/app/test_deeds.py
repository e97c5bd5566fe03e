"""Acts are stored as codes; those of earlier versions keep their words in every language."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from flask.testing import FlaskClient
from sqlalchemy import text

from app.catalogues import LANGUAGES, voice_of
from app.cli import main
from app.deeds import in_every_language
from termbase.acts import entries
from termbase.codes.deeds import Deed
from termbase.codes.wording import CODES
from termbase.errors import Damaged
from termbase.fields.notes import CodedText
from termbase.messages import message, message_of_number
from termbase.record.entries import Entry, Origin, Term
from termbase.store.engine import Store

LANDED = Path(__file__).parents[1] / "termbase" / "store" / "landed"
TEMPLATES: dict[str, list[str]] = json.loads((LANDED / "templates.json").read_text("utf-8"))
REWORDED: dict[str, str | list[str]] = json.loads((LANDED / "reworded.json").read_text("utf-8"))
"""The current wording of sentences that have been reworded since; two if there is a plural."""
WITHIN = {
    "deed": TEMPLATES["acts"], "line_deed": TEMPLATES["acts on lines"], "which": ["language", "practice"],
}  # fmt: skip
FAULTS = {"parted slips of “back-heel”": "parted slips of “%(name)s”"}
"""Acts that were mistaken for other sentences, so that they stayed partly English in every language."""


def as_before(act: str, templates: list[str]) -> str:
    """Return the sentence of an act in current wording, using the first old template that matches."""
    if act in FAULTS:
        templates = [FAULTS[act]]
    for template in templates:
        pieces = re.split(r"%\((\w+)\)s", template)
        shape = "".join(f"(?P<{p}>.*)" if n % 2 else re.escape(p) for n, p in enumerate(pieces))
        result = re.fullmatch(shape, act, re.DOTALL)
        if result:
            values = {k: as_before(v, WITHIN[k]) if k in WITHIN else v for k, v in result.groupdict().items()}
            reworded = REWORDED.get(template, template)
            if isinstance(reworded, list):
                one, many = reworded
                return message_of_number(one, many, int(values.get("number", "1")))
            return message(reworded, **values)
    return act


def acts_of(place: str) -> dict[int, str]:
    """Return the acts as the column stores them."""
    store = Store.open_any(place)
    with store.read() as reader:
        result = {row.id: row.what for row in reader.connection.execute(text("SELECT id, what FROM act"))}
    store.close()
    return result


def words_of(place: str) -> dict[int, dict[str, str]]:
    """Return the acts as the history shows them."""
    store = Store.open(place)
    with store.read() as reader:
        acts = reader.last_acts(1000)
    store.close()
    return {act.id: {tag: voice_of(tag).say(act.words) for tag in LANGUAGES} for act in acts}


def words_before(acts: dict[int, str]) -> dict[int, dict[str, str]]:
    sentences = {number: as_before(what, TEMPLATES["acts"]) for number, what in acts.items()}
    return {number: {tag: voice_of(tag).say(what) for tag in LANGUAGES} for number, what in sentences.items()}


def upgrade(place: str, tmp_path: Path) -> str:
    more = ["--backup", str(tmp_path / "b.zip")] if "://" in place else []
    result = CliRunner().invoke(main, ["upgrade", "--db", place, *more])
    assert result.exit_code == 0, result.output
    return result.output


def test_an_upgrade_keeps_the_words_of_every_act_in_every_language(landed: str, tmp_path: Path) -> None:
    acts = acts_of(landed)
    output = upgrade(landed, tmp_path)
    assert "Changed on purpose: act.what" in output
    assert words_of(landed) == words_before(acts)
    assert [what for what in acts.values() if what in FAULTS] == list(FAULTS)
    (unknown,) = (number for number, what in acts_of(landed).items() if what.startswith('{"text":'))
    assert acts[unknown] == "did what no version of the program does"


def test_restoring_a_backup_of_an_earlier_version_keeps_the_words_of_every_act(
    landed: str, tmp_path: Path
) -> None:
    place = str(tmp_path / "restored.sqlite")
    result = CliRunner().invoke(main, ["restore", str(LANDED / "landed-backup.zip"), "--db", place])
    assert result.exit_code == 0, result.output
    assert words_of(place) == words_before(acts_of(landed))


def test_the_digest_words_an_act_the_same_from_tables_of_any_version() -> None:
    now = {"what": '{"code":"entry.notes.changed","with":{"id":"c0012"}}'}
    assert in_every_language({"what": "changed the notes of c0012"}) == in_every_language(now)
    assert set(in_every_language(now)) == set(LANGUAGES)
    assert in_every_language({"what": "{"})["cy"] == "{"


def test_every_act_of_the_demo_has_a_known_code(demo_store: Store) -> None:
    with demo_store.read() as reader:
        acts = reader.last_acts(1000)
    assert acts
    assert {act.what.code for act in acts} <= set(CODES)


def test_an_act_of_a_newer_version_is_shown_unchanged(client: FlaskClient, store: Store) -> None:
    with store.act(
        "Nia", CodedText("entry.shape.changed", {"id": "c0012", "<b>": Deed.PICTURE_KEPT()})
    ) as act:
        act.new_id("entry")
    for language in LANGUAGES:
        page = client.get("/history", headers={"Accept-Language": language}).text
        assert "ntry.shape.changed (id: c0012, &lt;b&gt;: saved a picture)" in page


def test_a_persons_own_words_that_look_like_an_act_are_shown_unchanged(
    client: FlaskClient, store: Store
) -> None:
    with store.act("Nia", CodedText(text="removed entry c0012")) as act:
        act.new_id("entry")
    assert "emoved entry c0012" in client.get("/history", headers={"Accept-Language": "cy"}).text


@pytest.mark.parametrize("what", ["{", "made the termbase", '{"code":1}', '{"with":{"id":"c1"}}', "[" * 9999])
def test_an_unreadable_act_is_reported_as_damage(client: FlaskClient, store: Store, what: str) -> None:
    with store.writing() as connection:
        connection.execute(text("UPDATE act SET what = :what"), {"what": what})
    with store.read() as reader, pytest.raises(Damaged, match="row 1 of the table “act” cannot be read"):
        reader.last_acts()
    page = client.get("/history")
    assert page.status_code >= 400
    assert "restore the newest backup" in page.text


def test_a_chain_of_undone_acts_can_be_any_length(client: FlaskClient, store: Store) -> None:
    with store.act("Nia", Deed.ENTRY_MADE(names="hold")) as act:
        entries.save(act, Entry("", terms=(Term("", "hold", "en", Origin.IN_USE),)))
    for number in range(2, 60):
        client.post(f"/undo/{number}", data={"back": "/history"})
    with store.read() as reader:
        acts = reader.last_acts(100)
    assert len(acts) > 50
    assert max(act.what.depth for act in acts) < 30
    assert client.get("/history").status_code == 200
