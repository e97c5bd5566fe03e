"""An ordinary spreadsheet on the command line: dry run, questions, import."""

from pathlib import Path
from typing import Any

ROWS = """English;Irish;Notes;Source;Date
belt;crios, beilt;worn low;Éigse 1898;1898
"""


def table(bare: Any, tmp_path: Path) -> str:
    bare("new", "--title", "Words", "--vernacular", "ga")
    place = tmp_path / "list.csv"
    place.write_bytes(ROWS.encode("cp1252"))
    return str(place)


def test_dry_run_reports_encoding_columns_and_slips(bare: Any, tmp_path: Path) -> None:
    place = table(bare, tmp_path)
    choices = ("--several", "Irish", "--default", "witnessed=names:ga")
    preview = bare("import", "csv", place, *choices, "--dry-run")
    assert preview.code == 0
    assert "Read as windows-1252; separator: ;" in preview.out
    assert "Source -> source" in preview.out
    assert "slip: crios: “crios” (Éigse 1898, 1898)" in preview.out
    assert "Would import: 1 new, 0 same, 0 changed; 2 slips." in preview.out
    assert "New sources: Éigse 1898." in preview.out
    assert bare("source", "list", "--json").document["sources"] == []

    result = bare("import", "csv", place, *choices, "--json").document
    assert (result["encoding"], result["delimiter"], result["slips"]) == ("windows-1252", ";", 2)
    slips = bare("show", "c0001", "--json").document["article"]["slips"]
    messages = [(s["kind"], s["certainty"], s["date"]) for kept in slips.values() for s in kept]
    assert messages == [("not stated", "not stated", "1898")] * 2


def test_an_ambiguous_column_is_reported(bare: Any, tmp_path: Path) -> None:
    place = table(bare, tmp_path)
    asked = bare("import", "csv", place)
    assert (asked.code, "“crios, beilt” could be one name or several." in asked.err) == (2, True)
    asked = bare("import", "csv", place, "--one", "Irish")
    assert (asked.code, "--default witnessed=all" in asked.err) == (2, True)
    assert bare("find", "belt").out.count("c0001") == 0


def test_another_encoding_can_be_chosen(bare: Any, tmp_path: Path) -> None:
    place = table(bare, tmp_path)
    refused = bare("import", "csv", place, "--encoding", "utf-8", "--dry-run")
    assert (refused.code, "not UTF-8" in refused.err) == (2, True)
