"""An ordinary spreadsheet on the command line: looked at first, asked about, taken in."""

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
    said = ("--several", "Irish", "--default", "witnessed=names:ga")
    looked = bare("import", "csv", place, *said, "--dry-run")
    assert looked.code == 0
    assert "Read as windows-1252; separator: ;" in looked.out
    assert "Source -> source" in looked.out
    assert "slip: crios: “crios” (Éigse 1898, 1898)" in looked.out
    assert "Would import: 1 new, 0 same, 0 changed; 2 slips." in looked.out
    assert "New sources: Éigse 1898." in looked.out
    assert bare("source", "list", "--json").document["sources"] == []

    found = bare("import", "csv", place, *said, "--json").document
    assert (found["encoding"], found["delimiter"], found["slips"]) == ("windows-1252", ";", 2)
    slips = bare("show", "c0001", "--json").document["article"]["slips"]
    told = [(s["kind"], s["certainty"], s["date"]) for kept in slips.values() for s in kept]
    assert told == [("not stated", "not stated", "1898")] * 2


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
