"""Everything to one zip and back, equal field for field."""

import hashlib
import itertools
import json
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from exports.backup.reading import restore
from exports.backup.writing import write_backup
from exports.tbx.reader import read_tbx
from exports.tbx.validating import check_file
from exports.tbx.writer import render
from termbase.acts import entries, history, merging
from termbase.acts.sources import save_slip
from termbase.demo.loading import fill, load
from termbase.errors import BadInput
from termbase.fields.notes import CodedText, own_words
from termbase.importing.taking import import_file
from termbase.overviews.articles import Library
from termbase.record.entries import Entry, Origin, Relation, RelationKind, Signature, Term
from termbase.record.people import Termbase
from termbase.record.sources import Slip
from termbase.store import tables
from termbase.store.engine import Store
from termbase.store.rows import KINDS

MADE_ON = "2026-03-04"
COMPARED = [t for t in tables.metadata.sorted_tables if t.name not in ("segment", "key_build")]


def everything(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table; segments only if keys use them."""
    with store.read() as reader:
        result = {
            table.name: sorted(map(tuple, reader.connection.execute(select(table))), key=repr)
            for table in COMPARED
        }
        result["records"] = [
            (kind, record) for kind, mapped in KINDS.items() for record in reader.all(mapped.cls)
        ]
    return result


@pytest.fixture(scope="module")
def demo_store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """The demo with changes: an entry changed, one removed and an act undone."""
    store = fill(str(tmp_path_factory.mktemp("demo") / "demo.sqlite"), load())
    with store.act("Nia", "created an entry") as act:
        term = Term("", "llewyg", "cy", Origin.COINED)
        made = entries.save(
            act, Entry("", terms=(term,), relations=(Relation(RelationKind.SEE_ALSO, "c0001"),))
        )
        save_slip(act, Slip("", "s1", "waits\nfor a name"))
    with store.act("Nia", "removed it again") as act:
        entries.remove(act, made.id)
    with store.act("Nia", "made two entries of one name") as act:
        first, other = (
            entries.save(act, Entry("", terms=(Term("", "bach", "cy", Origin.COINED),))) for _ in "ab"
        )
    with store.act("Nia", "made one of the two") as act:
        merging.merge(act, first.id, other.id)
    with store.act("Nia", "made another") as act:
        entries.save(act, Entry("", terms=(term,)))
    with store.read() as reader:
        last = reader.last_acts(1)[0].id
    with store.act("Nia", f"took back act {last}", undoes=last) as act:
        history.undo(act, last)
    yield store
    store.close()


@pytest.fixture(scope="module")
def backup(demo_store: Store, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("backup") / "backup.zip"
    with demo_store.read() as reader:
        write_backup(reader, path, made_on=MADE_ON)
    return path


def test_a_restored_termbase_is_equal_in_every_field(demo_store: Store, backup: Path, place: str) -> None:
    report = restore(backup, place)
    store = Store.open(place)
    result, expected = everything(store), everything(demo_store)
    for name, rows in expected.items():
        assert result[name] == rows, name
    assert report.counts["entry"] == len(expected["entry"])
    assert report.counts["act"] == len(expected["act"]) > 5
    store.close()


def test_work_can_continue_after_restoring(demo_store: Store, backup: Path, place: str) -> None:
    restore(backup, place)
    store = Store.open(place)
    with demo_store.read() as reader:
        acts = len(reader.last_acts(1000))
        counter = dict(map(tuple, reader.connection.execute(select(tables.counter))))["entry"]
    with store.act("Nia", "created an entry") as act:
        made = entries.save(act, Entry("", terms=(Term("", "x", "cy", Origin.COINED),)))
    assert made.id == f"c{counter + 1:04d}"  # no id is used twice, not even that of the removed entry
    with store.read() as reader:
        assert len(reader.last_acts(1000)) == acts + 1
        assert reader.last_acts(1)[0].words == "created an entry"
    with store.act("Nia", "took it back", undoes=act.id) as undoing:
        history.undo(undoing, act.id or 0)
    store.close()


def test_a_backup_of_a_restored_termbase_is_the_same_file(backup: Path, place: str, tmp_path: Path) -> None:
    restore(backup, place)
    store = Store.open(place)
    with store.read() as reader:
        write_backup(reader, tmp_path / "again.zip", made_on=MADE_ON)
    store.close()
    assert (tmp_path / "again.zip").read_bytes() == backup.read_bytes()


def test_the_manifest_lists_every_file_with_its_checksum(backup: Path) -> None:
    with zipfile.ZipFile(backup) as archive:
        manifest = json.loads(archive.read("manifest.json"))
        names = {member["name"] for member in manifest["members"]}
        assert names | {"manifest.json"} == set(archive.namelist())
        for member in manifest["members"]:
            content = archive.read(member["name"])
            assert hashlib.sha256(content).hexdigest() == member["sha256"]
            assert len(content) == member["size"]
        citations = json.loads(archive.read("citations.json"))
    assert len(citations) == next(
        m["records"] for m in manifest["members"] if m["name"] == "records/source.jsonl"
    )


def test_the_backup_includes_lossless_tbx_for_other_programs(backup: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(backup) as archive:
        (tmp_path / "termbase.tbx").write_bytes(archive.read("termbase.tbx"))
    check_file(tmp_path / "termbase.tbx", "wordhold")
    empty = Store.create(str(tmp_path / "empty.sqlite"), Termbase("Empty", vernaculars=("cy",)), by="Nia")
    with empty.act("Nia", "took in a file") as act:
        import_file(act, read_tbx(tmp_path / "termbase.tbx"))
    restore(backup, str(tmp_path / "restored.sqlite"))
    restored = Store.open(str(tmp_path / "restored.sqlite"))
    with empty.read() as ours, restored.read() as theirs:
        assert "".join(render(Library(ours), "wordhold")) == "".join(render(Library(theirs), "wordhold"))
    empty.close()
    restored.close()


def test_a_backup_of_an_earlier_version_has_no_tbx_and_is_restored(
    backup: Path, place: str, tmp_path: Path
) -> None:
    earlier = tmp_path / "earlier.zip"
    with zipfile.ZipFile(backup) as archive, zipfile.ZipFile(earlier, "w") as out:
        manifest = json.loads(archive.read("manifest.json"))
        manifest["members"] = [m for m in manifest["members"] if m["name"] != "termbase.tbx"]
        for member in manifest["members"]:
            out.writestr(member["name"], archive.read(member["name"]))
        out.writestr("manifest.json", json.dumps(manifest))
    assert restore(earlier, place).counts["entry"] > 60


def test_progress_is_reported_up_to_the_end(demo_store: Store, tmp_path: Path) -> None:
    messages: list[tuple[int, int]] = []
    with demo_store.read() as reader:
        write_backup(
            reader, tmp_path / "b.zip", made_on=MADE_ON, on_progress=lambda *seen: messages.append(seen)
        )
    assert messages[-1][0] == messages[-1][1] > 100
    messages.clear()
    restore(tmp_path / "b.zip", str(tmp_path / "b.sqlite"), on_progress=lambda *seen: messages.append(seen))
    assert messages[-1][0] == messages[-1][1] > 100


# ---- what is rejected

Members = dict[str, bytes]
_numbers = itertools.count()


def changed(backup: Path, folder: Path, change: Callable[[Members], None], *, resealed: bool = True) -> Path:
    """A copy of a backup with its files changed; resealed: the manifest is updated to match."""
    with zipfile.ZipFile(backup) as archive:
        members = {name: archive.read(name) for name in archive.namelist()}
    change(members)
    if resealed:
        manifest = json.loads(members["manifest.json"])
        for member in manifest["members"]:
            content = members.get(member["name"], b"")
            member["sha256"], member["size"] = hashlib.sha256(content).hexdigest(), len(content)
            if member["records"]:
                member["records"] = content.count(b"\n")
        members["manifest.json"] = json.dumps(manifest).encode()
    path = folder / f"changed-{next(_numbers)}.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return path


def put(name: str, content: bytes) -> Callable[[Members], None]:
    return lambda members: members.update({name: content})


def drop(name: str) -> Callable[[Members], None]:
    return lambda members: void(members.pop(name))


def swap(name: str, old: bytes, new: bytes) -> Callable[[Members], None]:
    def change(members: Members) -> None:
        assert old in members[name]
        members[name] = members[name].replace(old, new, 1)

    return change


def void(_: object) -> None:
    return None


@pytest.mark.parametrize(
    ("change", "resealed", "expected"),
    [
        (put("../../etc/evil", b"x"), False, "outside its folder"),
        (put("/etc/evil", b"x"), False, "outside its folder"),
        (put("C:\\evil", b"x"), False, "outside its folder"),
        (put("records/..\\evil", b"x"), False, "outside its folder"),
        (put("more.txt", b"x"), False, "not in the manifest"),
        (drop("manifest.json"), False, "no manifest"),
        (drop("records/slip.jsonl"), False, "missing"),
        (drop("history/changes.jsonl"), False, "missing"),
        (swap("records/entry.jsonl", b"c0001", b"c0002"), False, "damaged"),
        (swap("manifest.json", b'"format": 1', b'"format": 2'), False, "newer version"),
        (swap("manifest.json", b'"tables": "0', b'"tables": "9'), False, "newer version"),
        (swap("manifest.json", b'"backup"', b'"other"'), False, "not a backup"),
        (put("manifest.json", b"{"), False, "cannot be read"),
        (put("records/bomb.jsonl", b"0" * 60_000_000), False, "unpack"),
        # even when the checksums agree
        (swap("records/entry.jsonl", b'"origin":"', b'"origin":"dreamt '), True, "not a record"),
        (swap("records/slip.jsonl", b'"source_id":"s', b'"source_id":"s99'), True, "inconsistent"),
        (swap("records/entry.jsonl", b'{"id":"c0001"', b'{"id":"c9001"'), True, "twice"),
        (swap("history/changes.jsonl", b'"kind":"', b'"kind":"x'), True, "no record type"),
        (put("counters.json", b"{}"), True, "twice"),
        (put("records/termbase.jsonl", b""), True, "one termbase"),
    ],
)  # fmt: skip
def test_an_invalid_backup_is_rejected_and_nothing_is_written(
    change: Callable[[Members], None], resealed: bool, expected: str, backup: Path, place: str, tmp_path: Path
) -> None:
    path = changed(backup, tmp_path, change, resealed=resealed)
    with pytest.raises(BadInput) as refused:
        restore(path, place)
    assert expected in refused.value.what
    assert refused.value.where
    assert refused.value.fix
    restore(backup, place)  # the place is still free


@pytest.mark.parametrize("at", [0.1, 0.5, 0.9, 0.999])
def test_a_truncated_backup_is_rejected(backup: Path, tmp_path: Path, at: float) -> None:
    content = backup.read_bytes()
    path = tmp_path / "cut.zip"
    path.write_bytes(content[: int(len(content) * at)])
    with pytest.raises(BadInput):
        restore(path, str(tmp_path / "new.sqlite"))
    assert not (tmp_path / "new.sqlite").exists()


def test_a_backup_with_flipped_bytes_is_rejected(backup: Path, tmp_path: Path) -> None:
    content = backup.read_bytes()
    path = tmp_path / "flipped.zip"
    for at in range(100, len(content) - 400, len(content) // 25):
        path.write_bytes(content[:at] + bytes([content[at] ^ 0x55]) + content[at + 1 :])
        with pytest.raises(BadInput):
            restore(path, str(tmp_path / "new.sqlite"))
        assert not (tmp_path / "new.sqlite").exists()


def test_an_existing_termbase_is_not_overwritten(backup: Path, store: Store, place: str) -> None:
    before = everything(store)
    with pytest.raises(BadInput, match="already"):
        restore(backup, place)
    assert everything(store) == before


def test_a_file_that_is_not_a_zip_is_rejected(tmp_path: Path) -> None:
    path = tmp_path / "a.zip"
    path.write_bytes(b"no zip at all")
    with pytest.raises(BadInput, match="not a backup"):
        restore(path, str(tmp_path / "new.sqlite"))


def test_an_existing_file_is_kept_when_writing_fails(demo_store: Store, tmp_path: Path) -> None:
    path = tmp_path / "b.zip"
    path.write_bytes(b"the last backup")

    def stop(done: int, total: int) -> None:
        raise KeyboardInterrupt

    with demo_store.read() as reader, pytest.raises(KeyboardInterrupt):
        write_backup(reader, path, made_on=MADE_ON, on_progress=stop)
    assert path.read_bytes() == b"the last backup"
    assert list(tmp_path.iterdir()) == [path]


def test_a_code_of_a_newer_version_is_restored(
    store: Store, new_place: Callable[[], str], tmp_path: Path
) -> None:
    newer = CodedText("reason.of.a.newer.version", {"of": "c0001", "why": own_words("by mistake")})
    with store.act("Nia", "created an entry") as act:
        term = Term("", "llewyg", "cy", Origin.COINED)
        made = entries.save(act, Entry("", terms=(term,), practice_reading=Signature(reopened=newer)))
    with store.read() as reader:
        write_backup(reader, tmp_path / "b.zip", made_on=MADE_ON)
    place = new_place()
    restore(tmp_path / "b.zip", place)
    again = Store.open(place)
    assert everything(again) == everything(store)
    with again.read() as reader:
        assert reader.get(Entry, made.id).practice_reading.reopened == newer
    again.close()
