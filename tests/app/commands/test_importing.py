"""Tables, citations, linked data and backup on the command line."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from app.cli import main

Run = Callable[..., Result]


@pytest.fixture(scope="module")
def demo(demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return Path(shutil.copyfile(demo_file, tmp_path_factory.mktemp("demo") / "demo.sqlite"))


@pytest.fixture
def run(demo: Path, tmp_path: Path) -> Run:
    def command(*words: str, place: Path = demo) -> Result:
        return CliRunner().invoke(
            main, [w.replace("DIR", str(tmp_path)) for w in words] + ["--db", str(place)]
        )

    return command


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_an_exported_table_imports_unchanged(run: Run, kind: str) -> None:
    assert run("export", kind, "-o", f"DIR/a.{kind}").exit_code == 0
    result = run("import", kind, f"DIR/a.{kind}", "--dry-run", "--json")
    counts = json.loads(result.stdout)["counts"]
    assert counts["new"] == counts["changed"] == 0 < counts["same"]


def test_an_invalid_table_is_reported_with_its_place_and_exit_status_2(run: Run, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("name,language,origin\nlock,en,dreamt\n", "utf-8")
    result = run("import", "csv", "DIR/a.csv")
    assert result.exit_code == 2
    assert "a.csv, line 2" in result.stderr
    assert "word-list" in result.stderr


def test_the_mapping_is_shown_and_can_be_changed(run: Run, tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text("Gair;Iaith\nclo;cy\n", "utf-8")
    result = run("import", "csv", "DIR/a.csv", "--map", "Gair=name", "--map", "Iaith=language",
                 "--default", "origin=coined", "--dry-run")  # fmt: skip
    assert "Gair -> name" in result.stdout
    assert "Would import: 1 new" in result.stdout


@pytest.mark.parametrize(("name", "suffix"), [("csl-json", "json"), ("bibtex", "bib"), ("ris", "ris")])
def test_exported_sources_import_unchanged(run: Run, name: str, suffix: str) -> None:
    assert run("export", "citations", "--format", name, "-o", f"DIR/a.{suffix}").exit_code == 0
    result = run("import", "citations", f"DIR/a.{suffix}", "--dry-run", "--json")
    counts = json.loads(result.stdout)["counts"]
    assert counts["new"] == counts["changed"] == 0 < counts["same"]


@pytest.mark.parametrize(
    ("name", "begins"), [("a.bib", "@"), ("a.RIS", "TY  - "), ("a.json", "["), ("a.bibtex", "@")]
)
def test_the_file_extension_determines_the_citation_format(
    run: Run, tmp_path: Path, name: str, begins: str
) -> None:
    assert run("export", "citations", "-o", f"DIR/{name}").exit_code == 0
    assert (tmp_path / name).read_text("utf-8").startswith(begins)
    assert run("export", "citations", "-o", f"DIR/{name}", "--format", "ris").exit_code == 0
    assert (tmp_path / name).read_text("utf-8").startswith("TY  - ")


@pytest.mark.parametrize(("name", "begins"), [("a.ttl", "@prefix"), ("a.jsonld", "{"), ("a.json", "{")])
def test_the_file_extension_determines_the_linked_data_format(
    run: Run, tmp_path: Path, name: str, begins: str
) -> None:
    assert run("export", "skos", "-o", f"DIR/{name}").exit_code == 0
    assert (tmp_path / name).read_text("utf-8").startswith(begins)


@pytest.mark.parametrize("what", ["citations", "skos"])
def test_an_unknown_extension_is_rejected_and_nothing_is_written(run: Run, tmp_path: Path, what: str) -> None:
    result = run("export", what, "-o", "DIR/sources.txt")
    assert result.exit_code == 2
    assert "The file extension does not show the format." in result.stderr
    assert not (tmp_path / "sources.txt").exists()


def test_sources_are_formatted_in_a_style(run: Run) -> None:
    result = run("source", "cite", "--style", "oxford", "--json")
    assert "Glanmorwen" in json.loads(result.stdout)["sources"]["s1"]


def test_linked_data_warns_when_its_addresses_are_examples(run: Run) -> None:
    assert "--base" in run("export", "skos", "-o", "DIR/a.ttl").stdout
    assert "--base" not in run("export", "skos", "-o", "DIR/a.ttl", "--base", "https://a.example/").stdout


def test_a_backup_can_only_be_restored_to_an_empty_place(run: Run, tmp_path: Path) -> None:
    assert run("backup", "DIR/b.zip").exit_code == 0
    assert run("restore", "DIR/b.zip", place=tmp_path / "new.sqlite").exit_code == 0
    again = run("restore", "DIR/b.zip", place=tmp_path / "new.sqlite")
    assert again.exit_code == 2
    assert "already" in again.stderr
