"""A file in the first version of our dialect can still be imported completely; own-1.tbx.xz was written by
that version.

It contains the termbase of `tests/termbase/store/landed`, migrated to tables 0006, with readings reopened for
each of our reasons and for people's own words that look like them.
"""

import lzma
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from exports.tbx.categories import FIRST_NAMESPACE, MODULE_NAMESPACE
from exports.tbx.reader import read_tbx
from exports.tbx.validating import check_file
from exports.tbx.writer import write_tbx
from termbase.codes.deeds import Covered, Reopened
from termbase.codes.lines import Aside
from termbase.codes.wording import statement_text
from termbase.errors import BadInput
from termbase.fields.notes import CodedText, own_words
from termbase.importing.planning import plan
from termbase.importing.records import State
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Redirect
from termbase.record.pages import Line
from termbase.record.people import Termbase
from termbase.store.engine import Store

WRITTEN_BY_IT = lzma.decompress(Path(__file__).with_name("own-1.tbx.xz").read_bytes())


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("first") / "own-1.tbx"
    path.write_bytes(WRITTEN_BY_IT)
    return path


def take(store: Store, path: Path) -> None:
    with store.act("Owain", "took in a file") as act:
        import_file(act, read_tbx(path))


def empty(place: Path) -> Store:
    return Store.create(str(place), Termbase("empty"), by="Owain")


@pytest.fixture(scope="module")
def taken(first: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    store = empty(tmp_path_factory.mktemp("taken") / "taken.sqlite")
    take(store, first)
    yield store
    store.close()


def readings(store: Store) -> dict[str, tuple[CodedText, CodedText]]:
    with store.read() as reader:
        found = reader.all(Entry)
    return {e.id: (e.language_reading.reopened, e.practice_reading.reopened) for e in found}


def test_the_file_is_of_the_first_version() -> None:
    assert FIRST_NAMESPACE.encode() in WRITTEN_BY_IT
    assert MODULE_NAMESPACE != FIRST_NAMESPACE


def test_reopening_reasons_become_codes_or_a_persons_own_words(taken: Store) -> None:
    found = readings(taken)
    assert found["c0012"] == (Reopened.BY_HAND(person="Elin Maesgwyn"), own_words("by mistake"))
    assert found["c0013"] == (own_words("it was parted from c0041"), own_words("by mistake"))
    assert found["c0014"] == (
        own_words("by Nobody At All"), own_words("the names changed after it was signed, or so"),
    )  # fmt: skip
    assert found["c0015"] == (
        Reopened.CHANGED(what=Covered.ACCEPTED_NOTE()), Reopened.CHANGED(what=Covered.RELATION()),
    )  # fmt: skip
    reasons = {str(statement_text(why)) for both in found.values() for why in both}
    assert {"it was parted from c0041", "c0042 was merged into it after it was signed"} <= reasons


def test_lines_and_merged_entries_are_equal(taken: Store) -> None:
    with taken.read() as reader:
        lines, merged = reader.all(Line), reader.all(Redirect)
    reasons = {line.reason for line in lines}
    assert {Aside.ILLEGIBLE(), Aside.NAMED_SPORT(sport="boxing"), own_words("by mistake")} <= reasons
    problems = [t.why for line in lines if line.parsed for t in line.parsed.troubles]
    assert problems
    assert all(why.code for why in problems)
    parts = {p.part for line in lines if line.parsed for p in line.parsed.printed}
    assert ("senses", 0, "equivalents", 1, "gender") in parts
    opened = {r.made.language_reading.reopened.code for r in merged}
    assert "reading.reopened.merged" in opened


def test_a_first_version_file_survives_a_round_trip_as_the_second(
    taken: Store, first: Path, tmp_path: Path
) -> None:
    with taken.read() as reader:
        write_tbx(Library(reader), tmp_path / "second.tbx", dialect="wordhold")
        old, new = (plan(reader, read_tbx(path)) for path in (first, tmp_path / "second.tbx"))
    written = (tmp_path / "second.tbx").read_text("utf-8")
    assert MODULE_NAMESPACE in written
    assert FIRST_NAMESPACE not in written
    check_file(tmp_path / "second.tbx", "wordhold")
    for planned in (old, new):
        assert {state for states in planned.counts.values() for state in states} == {State.SAME.value}


def test_a_first_version_file_passes_strict_reading(first: Path, tmp_path: Path) -> None:
    check_file(first, "wordhold")
    store = empty(tmp_path / "strict.sqlite")
    with store.act("Owain", "took in a file") as act:
        import_file(act, read_tbx(first, strict=True))
    with store.read() as reader:
        assert reader.count(Entry) == 75
    store.close()


def test_a_name_counts_only_if_the_file_knows_such_a_person(first: Path, tmp_path: Path) -> None:
    changed = tmp_path / "changed.tbx"
    changed.write_bytes(WRITTEN_BY_IT.replace(b'reopened="by Elin Maesgwyn"', b'reopened="by Elin, at last"'))
    store = empty(tmp_path / "changed.sqlite")
    take(store, changed)
    assert readings(store)["c0012"][0] == own_words("by Elin, at last")
    store.close()


@pytest.mark.parametrize("text", ["by Nia", "{", '{"code": 1}', '{"code":"x","text":"y"}', "[" * 3000])
def test_an_unreadable_reason_is_refused_with_its_place(taken: Store, tmp_path: Path, text: str) -> None:
    path = tmp_path / "second.tbx"
    with taken.read() as reader:
        write_tbx(Library(reader), path, dialect="wordhold", ids=["c0012"])
    whole = path.read_text("utf-8")
    assert whole.count("&quot;by mistake&quot;") == 1
    before, _, after = whole.partition("{&quot;text&quot;:&quot;by mistake&quot;}")
    path.write_text(before + text.replace('"', "&quot;") + after, "utf-8")
    store = empty(tmp_path / "refused.sqlite")
    with pytest.raises(BadInput, match="cannot be read") as raised:
        take(store, path)
    assert "practiceReading" in raised.value.where
    assert "reopened" in raised.value.where
    store.close()


@settings(max_examples=30)
@given(
    st.sampled_from(["reason", "parsed", "entry", "made"]), st.text(st.characters(codec="utf-8"), max_size=9)
)
def test_a_damaged_first_version_item_gives_a_message(
    tmp_path_factory: pytest.TempPathFactory, item: str, text: str
) -> None:
    start = f'<item type="{item}">'.encode()
    at = WRITTEN_BY_IT.index(start) + len(start)
    end = WRITTEN_BY_IT.index(b"</item>", at)
    safe = "".join(c for c in text if c.isprintable() and c not in "<&>")
    path = tmp_path_factory.mktemp("damaged") / "x.tbx"
    path.write_bytes(WRITTEN_BY_IT[:at] + safe.encode() + WRITTEN_BY_IT[end:])
    where = refused_at(path)
    assert not where or where.startswith("x.tbx, line")


def refused_at(path: Path) -> str:
    """Return where a file is refused; empty if it is accepted."""
    file = read_tbx(path)
    try:
        list(file.early(lambda _: False))
        list(file.later())
    except BadInput as error:
        return error.where
    return ""


def test_the_first_version_module_may_be_declared_further_down(
    taken: Store, first: Path, tmp_path: Path
) -> None:
    text = first.read_text("utf-8")
    declared = re.search(r' xmlns:wh="[^"]*"', text)
    assert declared
    down = re.sub(r"<wh:\w+", lambda name: name[0] + declared[0], text.replace(declared[0], "", 1))
    (tmp_path / "down.tbx").write_text(down, encoding="utf-8")
    store = empty(tmp_path / "down.sqlite")
    with store.act("Owain", "took in a file") as act:
        import_file(act, read_tbx(tmp_path / "down.tbx", strict=True))
    assert readings(store) == readings(taken)
    store.close()
