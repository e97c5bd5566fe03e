"""wordhold judge: the verdict in full, and for one bout."""

from typing import Any

import pytest


def test_a_verdict_cites_the_clause_the_source_and_what_the_technique_rests_on(shell: Any) -> None:
    output = shell("judge", "c0026", "--code", "r1").out.splitlines()
    assert output[1] == "  Glanmorwen Fair rules (1868): fits with a changed grip"
    assert output[2].startswith(
        "    x The left hand is on the belt behind, off the hold that must be kept. [clause F2, F3; s5;"
    )
    assert "    > Move the left hand: on the belt at the near hip." in output


def test_a_breach_comes_with_the_smallest_change(shell: Any) -> None:
    assert "    > It would fit if " in shell("judge", "c0043", "--code", "r1").out
    (row,) = shell("judge", "c0043", "--code", "r1", "--json").document["verdicts"]
    assert row["change"]["edits"]


def test_a_technique_carries_its_cautions(shell: Any) -> None:
    for command in ("judge", "show"):
        output = shell(command, "c0043").out
        assert "Within the rules does not mean safe." in output
        assert "It kicks: shins and ankles break" in output
    assert "Within the rules does not mean safe." in shell("judge").out


@pytest.mark.parametrize(
    ("entry", "options", "word"),
    [
        ("c0043", ("--code", "r2"), "fits"),
        ("c0043", ("--code", "r2", "--footwear", "shod"), "open"),
        ("c0013", ("--code", "r3"), "fits"),
        ("c0013", ("--code", "r3", "--barred", "Hug"), "breaks the rules"),
    ],
)
def test_a_bout_is_judged_as_it_was_agreed(
    shell: Any, entry: str, options: tuple[str, ...], word: str
) -> None:
    (row,) = shell("judge", entry, *options, "--json").document["verdicts"]
    assert row["verdict"]["word"] == word


@pytest.mark.parametrize(
    ("options", "expected"),
    [
        (("--year", "the old days"), "year: “the old days” is not a year."),
        (("--year", "١٨٨٤"), "is not a year"),
        (("--footwear", "sandals"), "footwear: “sandals” is not footwear."),
    ],
)
def test_an_invalid_bout_is_rejected(shell: Any, options: tuple[str, ...], expected: str) -> None:
    ran = shell("judge", "c0043", *options)
    assert (ran.code, ran.out) == (2, "")
    assert expected in ran.err


def test_a_contradictory_code_is_imported_and_reported_with_both_sources(shell: Any, tmp_path: Any) -> None:
    file = tmp_path / "two.toml"
    file.write_text(
        """
[[code]]
id = "x"
name = "Two minds"
[[code.clause]]
family = "keeping"
id = "1"
keep = "both hands"
sources = ["Fair rules 1868"]
[[code.clause]]
family = "keeping"
id = "2"
keep = "free"
sources = ["Lantern 1871"]
""",
        "utf-8",
    )
    ran = shell("rules", "import", str(file))
    assert ran.code == 0
    assert ran.err == (
        "wordhold: Two minds contradicts itself. On keeping the hold, clause 1 (Fair rules 1868) says"
        " both hands and clause 2 (Lantern 1871) says free.\n"
    )
