"""Upgrading: a backup first, everything compared, and no half-finished state after an interruption."""

import json
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import text

from app.cli import main
from app.deeds import in_every_language
from termbase.store import migrating, versions
from termbase.store.digest import Digest, digest_of
from termbase.store.engine import Store
from termbase.store.versions import tables_version

MIGRATIONS = migrating.MIGRATIONS
OLD_BACKUP = Path(__file__).parents[2] / "termbase" / "store" / "landed" / "landed-backup.zip"


def run(*arguments: str, code: int = 0) -> str:
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == code, result.output
    return result.output


def digest(place: str) -> dict[str, object]:
    document = json.loads(run("digest", "--json", "--db", place))
    assert isinstance(document, dict)
    return document


def kept(place: str) -> Digest:
    """Return the digest without the intended changes of the migrations."""
    store = Store.open_any(place)
    with store.read() as reader:
        result = digest_of(reader.connection, in_every_language, migrating.declared_changes("0002"))
    store.close()
    return result


AsLanded = Callable[[str], tuple[dict[str, object], Digest]]


@pytest.fixture(scope="module")
def as_landed() -> AsLanded:
    """Returns both digests of `landed` before any change, computed once per database."""
    known: dict[bool, tuple[dict[str, object], Digest]] = {}

    def of(place: str) -> tuple[dict[str, object], Digest]:
        on_server = "://" in place
        if on_server not in known:
            known[on_server] = digest(place), kept(place)
        return known[on_server]

    return of


def files_beside(place: str) -> list[str]:
    return sorted(path.name for path in Path(place).parent.iterdir())


def options(place: str, backup: Path) -> list[str]:
    """Return the options of `upgrade`; PostgreSQL also needs a path for the backup."""
    return ["--db", place, *(["--backup", str(backup)] if "://" in place else [])]


def test_a_backup_is_written_first_and_nothing_else_changes(
    landed: str, as_landed: AsLanded, tmp_path: Path
) -> None:
    before, all_else = as_landed(landed)
    assert before["tables"] == "0002"
    backup = (
        tmp_path / "old.zip" if "://" in landed else Path(landed).with_name("landed.tables-0002.wordhold")
    )

    output = run("upgrade", *options(landed, backup))

    assert f"Wrote and checked a backup: {backup}" in output
    assert backup.exists()
    after = digest(landed)
    assert after["tables"] == tables_version()
    assert kept(landed) == all_else
    assert str(after["digest"]) in output
    if "://" not in landed:
        assert digest(str(backup)) == before  # the older version of the program can still use it
        assert files_beside(landed) == ["landed.tables-0002.wordhold", "landed.wordhold"]


def test_the_digest_covers_acts_in_every_language(landed: str) -> None:
    kinds = digest(landed)["kinds"]
    assert isinstance(kinds, dict)
    words = [kinds[f"acts in {tag}"]["sha256"] for tag in ("en", "cy", "ga")]
    assert len(set(words)) == 3


def test_the_digest_is_printed_in_a_table(landed: str) -> None:
    printed = run("digest", "--db", landed)
    assert "      747  change" in printed
    assert str(digest(landed)["digest"]) in printed


@pytest.mark.parametrize("database", ["postgresql"])
def test_upgrading_postgresql_requires_a_backup_path(landed: str, tmp_path: Path) -> None:
    output = run("upgrade", "--db", landed, code=2)
    assert "--backup" in output
    assert digest(landed)["tables"] == "0002"


@pytest.mark.parametrize("database", ["postgresql"])
def test_the_backup_of_a_server_database_is_restored_upgraded_or_as_it_was(
    landed: str, as_landed: AsLanded, new_place: Callable[[], str], tmp_path: Path
) -> None:
    (before, all_else), backup = as_landed(landed), tmp_path / "old.zip"
    run("upgrade", "--db", landed, "--backup", str(backup))
    upgraded = digest(landed)
    assert upgraded["tables"] == tables_version()
    for place in (new_place(), str(tmp_path / "restored.sqlite")):
        run("restore", str(backup), "--db", place)
        assert kept(place) == all_else
        assert digest(place) == upgraded
        assert "back-heel" in run("find", "backheel", "--db", place)
    old = new_place()
    run("restore", str(backup), "--as-it-was", "--db", old)
    assert digest(old) == before


@pytest.mark.parametrize("database", ["postgresql"])
def test_a_damaged_backup_of_tables_is_rejected(
    landed: str, new_place: Callable[[], str], tmp_path: Path
) -> None:
    backup, place = tmp_path / "old.zip", new_place()
    run("upgrade", "--db", landed, "--backup", str(backup))
    content = backup.read_bytes()
    for at in range(2000, len(content) - 3000, len(content) // 6):
        backup.write_bytes(content[:at] + bytes([content[at] ^ 0x55]) + content[at + 1 :])
        run("restore", str(backup), "--db", place, code=2)
    backup.write_bytes(content)
    run("restore", str(backup), "--db", place)


def test_the_backup_never_overwrites_a_file(landed: str, tmp_path: Path) -> None:
    taken = tmp_path / "taken.zip"
    taken.write_text("something else")
    assert "This file already exists" in run("upgrade", "--db", landed, "--backup", str(taken), code=2)
    assert taken.read_text() == "something else"
    assert digest(landed)["tables"] == "0002"


@pytest.fixture
def fresh(new_place: Callable[[], str]) -> str:
    """A termbase of this version."""
    place = new_place()
    run("new", "--title", "Ours", "--vernacular", "cy", "--db", place)
    return place


def test_no_backup_is_written_if_there_is_nothing_to_upgrade(fresh: str, tmp_path: Path) -> None:
    place = fresh
    before = files_beside(place) if "://" not in place else []
    assert "is up to date" in run("upgrade", *options(place, tmp_path / "b.zip"))
    assert not (tmp_path / "b.zip").exists()
    assert (files_beside(place) if "://" not in place else []) == before


def test_a_termbase_of_a_newer_version_is_rejected(fresh: str, tmp_path: Path) -> None:
    place, store = fresh, Store.open(fresh)
    with store.writing() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store.close()
    for command in (["upgrade", *options(place, tmp_path / "b.zip")], ["digest", "--db", place]):
        assert "Install a newer version" in run(*command, code=2)
    assert not (tmp_path / "b.zip").exists()


Migrate = Callable[[str], None]


@pytest.fixture
def with_migration(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Migrate:
    """Adds a migration, given as text, after all others."""
    folder = tmp_path / "migrations"

    def add(body: str) -> None:
        head = tables_version()
        shutil.copytree(MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
        heading = f"from alembic import op\nrevision = '9001'\ndown_revision = '{head}'\n"
        (folder / "versions" / "9001_tried.py").write_text(heading + body)
        monkeypatch.setattr(migrating, "MIGRATIONS", folder)
        monkeypatch.setattr(versions, "VERSIONS", folder / "versions")

    return add


LOSING = "def upgrade():\n    op.execute(\"UPDATE slip SET certainty = 'doubtful'\")\n"


def test_an_upgrade_that_would_change_the_record_is_undone_and_says_so(
    landed: str, as_landed: AsLanded, with_migration: Migrate, tmp_path: Path
) -> None:
    before, _all_else = as_landed(landed)
    with_migration(LOSING)
    output = run("upgrade", *options(landed, tmp_path / "b.zip"), code=2)
    assert "slip" in output
    assert "Nothing has been changed" in output
    assert digest(landed) == before


def test_declared_changes_are_allowed_and_listed(
    landed: str, as_landed: AsLanded, with_migration: Migrate, tmp_path: Path
) -> None:
    before, _all_else = as_landed(landed)
    with_migration(LOSING + "CHANGES = {'slip.certainty': 'a trial of this test'}\n")
    output = run("upgrade", *options(landed, tmp_path / "b.zip"))
    assert "Changed on purpose: slip.certainty (a trial of this test)" in output
    after = digest(landed)
    assert after["tables"] == "9001"
    assert after["digest"] != before["digest"]


def test_rebuilding_a_table_that_others_refer_to_loses_nothing(
    landed: str, with_migration: Migrate, tmp_path: Path
) -> None:
    """SQLite deletes the rows of a table, and the rows that depend on them, before it drops the table."""
    with_migration(
        "import sqlalchemy as sa\n"
        "def upgrade():\n"
        "    with op.batch_alter_table('term', recreate='auto') as table:\n"
        "        table.add_column(sa.Column('heard', sa.Text(), nullable=False, server_default=''))\n"
        "        table.alter_column('region', nullable=True)\n"
    )
    keys = rows(landed, "key")
    run("upgrade", *options(landed, tmp_path / "b.zip"))
    assert rows(landed, "key") == keys > 1000


def rows(place: str, table: str) -> int:
    store = Store.open_any(place)
    with store.read() as reader:
        result = reader.connection.scalar(text(f"SELECT count(*) FROM {table}"))
    store.close()
    return result or 0


KILLED = """
import os, signal, sys
from pathlib import Path
from app.cli import main
from exports.backup import tables
from termbase.store import making
from termbase.store import upgrading
from termbase.store.oldtexts import acts

def die(*_):
    os.kill(os.getpid(), signal.SIGKILL)

when = sys.argv.pop(1)
for module in (upgrading, making, tables):
    if hasattr(module, when):
        setattr(module, when, die)

read, seen = acts.act_column, []

def halfway(text):
    if "versions" in sys._getframe(1).f_code.co_filename:  # within the migration
        seen.append(text)
    return die() if len(seen) == 100 else read(text)

if when == "halfway":
    acts.act_column = halfway
main()
"""


# A sample of the moments; tests/stress/killed_upgrades.py kills at many more.
@pytest.mark.parametrize("when", ["the backup is kept", "halfway", "Upgraded"])
def test_an_interrupted_upgrade_can_be_run_again(
    when: str, landed: str, as_landed: AsLanded, tmp_path: Path
) -> None:
    """`when`: the step that never happens."""
    (before, all_else), backup = as_landed(landed), tmp_path / "folder" / "b.zip"
    arguments = ["upgrade", *options(landed, backup)]
    keeping = "atomic_write" if "://" in landed else "_put_in_place"  # a zip there, a copy of the file here
    step = keeping if when == "the backup is kept" else when
    ended = subprocess.run([sys.executable, "-c", KILLED, step, *arguments], check=False)
    assert ended.returncode == -signal.SIGKILL
    assert kept(landed) == all_else
    assert digest(landed) == before  # nothing half-done

    assert "is up to date" in run(*arguments)

    after = digest(landed)
    assert after["tables"] == tables_version()
    assert kept(landed) == all_else
    if "://" in landed:
        assert [path.name for path in backup.parent.iterdir()] == ["b.zip"]
    else:
        assert files_beside(landed) == ["landed.tables-0002.wordhold", "landed.wordhold"]


def test_a_backup_of_an_earlier_version_is_restored_as_its_termbase_is_upgraded(
    landed: str, new_place: Callable[[], str], tmp_path: Path
) -> None:
    run("upgrade", *options(landed, tmp_path / "b.zip"))
    place = new_place()
    run("restore", str(OLD_BACKUP), "--db", place)
    assert digest(place) == digest(landed)


def test_a_backup_is_restored_with_the_same_digest_on_either_database(
    landed: str, new_place: Callable[[], str], tmp_path: Path
) -> None:
    run("upgrade", *options(landed, tmp_path / "b.zip"))
    run("backup", str(tmp_path / "new.zip"), "--db", landed)
    upgraded = digest(landed)
    for place in (new_place(), str(tmp_path / "restored.sqlite")):
        run("restore", str(tmp_path / "new.zip"), "--db", place)
        assert digest(place) == upgraded
