"""The command `page trim`: judging, applying, errors."""

from typing import Any

import pytest

from app.commands.context import BAD_INPUT


def test_trim_without_apply_changes_nothing(shell: Any) -> None:
    ran = shell("page", "trim", "w3", "--code", "Glanmorwen Fair rules (1868)")
    assert ran.code == 0
    assert "goes\tl" in ran.out
    assert (
        "    breaks the rules [strap-hold wrestling], judged as c0043 shin-kick: same English name" in ran.out
    )
    assert "  - A leg is used (kick), which is barred." in ran.out
    assert "Set aside" not in ran.out
    assert shell("page", "trim", "w3", "--code", "r1").out == ran.out


def test_trim_apply_sets_lines_aside_in_one_act(shell: Any) -> None:
    before = shell("page", "lines", "w3").out
    ran = shell("page", "trim", "w3", "--code", "r1", "--label", "open-hold wrestling", "--apply")
    assert ran.code == 0
    assert "skipped\t" in ran.out
    assert "it belongs to c" in ran.out
    assert "another style, according to its label “open-hold wrestling”" in shell("page", "lines", "w3").out
    shell("undo")
    assert shell("page", "lines", "w3").out == before


def test_the_document_says_what_was_judged_and_done(shell: Any) -> None:
    result = shell("page", "trim", "--source", "Glanmorwen 1898", "--code", "r1", "--json").document
    assert result["wordhold"] == "page trim"
    assert sum(result["counts"].values()) == len(result["lines"])
    assert (result["applied"], result["set_aside"], result["left"]) == (False, [], [])
    goes = {row["line"] for row in result["lines"] if row["lot"] == "goes"}
    done = shell(
        "page", "trim", "--source", "Glanmorwen 1898", "--code", "r1", "--apply-with-notes", "--json"
    ).document
    assert done["applied"] is True
    assert set(done["set_aside"]) <= goes
    assert done["noted"]
    assert done["left"] == []


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (("w3", "--code", "r9"), "r9"),
        (("w99", "--code", "r1"), "w99"),
        (("--code", "r1"), "Give a page, or --source"),
        (("w3", "--source", "Glanmorwen 1898", "--code", "r1"), "Give a page, or --source"),
        (("w3", "--code", "r1", "--label", "cricket"), "No line is labelled 'cricket'"),
    ],
    ids=["no code", "no page", "neither", "both", "no label"],
)
def test_trim_errors_are_reported_and_change_nothing(
    shell: Any, arguments: tuple[str, ...], expected: str
) -> None:
    ran = shell("page", "trim", *arguments, "--apply")
    assert ran.code == BAD_INPUT
    assert expected in ran.err


STRAP = ("page", "trim", "--source", "Glanmorwen 1898", "--code", "r1", "--label", "strap-hold wrestling")


def test_a_line_that_fits_is_never_set_aside_by_its_label(shell: Any) -> None:
    """Even if the demo's own style is marked as another, every line that fits is left, with its verdict."""
    judged = shell(*STRAP, "--json").document
    fits = {
        row["line"]
        for row in judged["lines"]
        for sense in row["senses"]
        if sense["other_style"]
        and {e["word"] for e in sense["entries"]} & {"fits", "fits with a changed grip"}
    }
    open_lines = {row["line"] for row in judged["lines"] if row["state"] == "new"}
    assert fits & open_lines
    assert not any(row["certain"] for row in judged["lines"] if row["line"] in fits)

    done = shell(*STRAP, "--apply", "--json").document
    assert not fits & set(done["set_aside"])
    why = {row["line"]: row["why"] for row in done["left"]}
    assert all(
        "“strap-hold wrestling” was marked as another style, but the verdict is “fits" in why[line]
        for line in fits & open_lines
    )


def test_the_verdict_is_shown_beside_the_label(shell: Any) -> None:
    output = shell(*STRAP).out
    assert "another style (the verdict is fits) [strap-hold wrestling]" in output
    assert "Its label was marked as another style, but the verdict is “fits”" in output
    assert "another style (the verdict is breaks the rules)" in output
