"""rules import, rules export, profiles import, profiles export."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from app.cli import main
from termbase.demo.loading import load
from termbase.rules.clauses import RuleCode
from termbase.rules.files import read_codes, read_profiles
from termbase.store.engine import Store


def run(*arguments: str) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, arguments)
    assert result.exception is None or isinstance(result.exception, SystemExit)
    return result.exit_code, result.stdout, result.stderr


@pytest.mark.parametrize("group", ["rules", "profiles"])
@pytest.mark.parametrize("command", ["import", "export"])
def test_help_has_an_example(group: str, command: str) -> None:
    code, out, _ = run(group, command, "--help")
    assert code == 0
    assert f"Example: wordhold {group} {command}" in out


def test_codes_and_profiles_survive_a_round_trip(demo_store: Store, tmp_path: Path) -> None:
    db = ("--db", str(tmp_path / "demo.db"))
    code, out, _ = run("rules", "export", *db)
    assert code == 0
    assert [c.clauses for c in read_codes(out, "x")] == [c.clauses for c in load().codes]
    file = tmp_path / "codes.toml"
    file.write_text(out, "utf-8")
    code, output, _ = run("rules", "import", str(file), *db)
    assert (code, output.count("\n")) == (0, 3)
    code, out, _ = run("profiles", "export", *db)
    assert len(read_profiles(out, "x")) == 37
    file.write_text(out, "utf-8")
    code, output, _ = run("profiles", "import", str(file), *db)
    assert (code, output.count("\n")) == (0, 37)


def test_one_code_by_name(demo_store: Store, tmp_path: Path) -> None:
    code, out, _ = run(
        "rules", "export", "--code", "Open-hold matches (1902)", "--db", str(tmp_path / "demo.db")
    )
    assert (code, out.count("[[code]]")) == (0, 1)
    code, out, err = run("rules", "export", "--code", "nobody's", "--db", str(tmp_path / "demo.db"))
    assert (code, out) == (2, "")
    assert "There is no rule code" in err


@pytest.mark.parametrize("group", ["rules", "profiles"])
@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"\xff\xfe", "not UTF-8"),
        (b"x = [", "not TOML"),
        (b"[[code]]\nid='a'\n[[technique]]\nid='b'\n", "are allowed here"),
    ],
)
def test_a_bad_file_is_one_clear_message_and_exit_2(
    demo_store: Store, tmp_path: Path, group: str, content: bytes, expected: str
) -> None:
    file = tmp_path / "bad.toml"
    file.write_bytes(content)
    code, out, err = run(group, "import", str(file), "--db", str(tmp_path / "demo.db"))
    assert (code, out) == (2, "")
    assert expected in err
    assert "Traceback" not in err


def test_every_bad_row_is_listed_and_nothing_is_imported(demo_store: Store, tmp_path: Path) -> None:
    file = tmp_path / "bad.toml"
    file.write_text(
        '[[code]]\nid = "n1"\nname = "New"\n[[code.clause]]\nfamily = "legs"\nid = "1"\nstance = "barred"\n'
        '[[code]]\nid = "n2"\nname = "Bad"\n[[code.clause]]\nfamily = "rain"\nid = "1"\n'
        '[[code]]\nname = "No id"\n',
        "utf-8",
    )
    code, out, err = run("rules", "import", str(file), "--db", str(tmp_path / "demo.db"))
    assert (code, out) == (2, "")
    assert "2 bad rows" in err
    assert "line 11" in err
    assert "line 14" in err
    with demo_store.read() as reader:
        assert len(reader.all(RuleCode)) == 3
    profiles = tmp_path / "profiles.toml"
    profiles.write_text(
        '[[technique]]\nid = "x"\nname = "nobody"\n[[technique]]\nid = "y"\nname = "none"\n', "utf-8"
    )
    code, out, err = run("profiles", "import", str(profiles), "--db", str(tmp_path / "demo.db"))
    assert (code, out) == (2, "")
    assert err.count("No entry has this name.") == 2


def test_an_id_in_use_is_resolved_by_the_options(demo_store: Store, tmp_path: Path) -> None:
    db = ("--db", str(tmp_path / "demo.db"))
    file = tmp_path / "codes.toml"
    file.write_text('[[code]]\nid = "r1"\nname = "Barn rules"\n', "utf-8")
    code, out, err = run("rules", "import", str(file), *db)
    assert (code, out) == (2, "")
    assert "The id r1 of “Barn rules” already belongs to “Glanmorwen Fair rules" in err
    assert "--replace" in err
    assert "--as-new" in err
    code, out, _ = run("rules", "import", str(file), "--as-new", *db)
    assert (code, out) == (0, "r4\tBarn rules\t0\n")
    file.write_text('[[code]]\nid = "r1"\nname = "Stable rules"\n', "utf-8")
    code, out, _ = run("rules", "import", str(file), "--replace", *db)
    assert (code, out) == (0, "r1\tStable rules\t0\n")
