"""The command page trim: judging, applying, what is refused."""

from typing import Any

import pytest

from app.commands.setting import BAD_INPUT


def test_a_page_is_judged_and_nothing_is_changed(shell: Any) -> None:
    ran = shell("page", "trim", "w3", "--code", "Glanmorwen Fair rules (1868)")
    assert ran.code == 0
    assert "goes\tl" in ran.out
    assert (
        "    breaks the rules [strap-hold wrestling], judged as c0043 shin-kick: same English name" in ran.out
    )
    assert "  - A leg is used (kick), which is barred." in ran.out
    assert "Set aside" not in ran.out
    assert shell("page", "trim", "w3", "--code", "r1").out == ran.out


def test_what_goes_is_set_aside_as_one_act(shell: Any) -> None:
    before = shell("page", "lines", "w3").out
    ran = shell("page", "trim", "w3", "--code", "r1", "--label", "open-hold wrestling", "--apply")
    assert ran.code == 0
    assert "left\t" in ran.out
    assert "it belongs to c" in ran.out
    assert "another style, by its label “open-hold wrestling”" in shell("page", "lines", "w3").out
    shell("undo")
    assert shell("page", "lines", "w3").out == before


def test_the_document_says_what_was_judged_and_done(shell: Any) -> None:
    found = shell("page", "trim", "--source", "Glanmorwen 1898", "--code", "r1", "--json").document
    assert found["wordhold"] == "page trim"
    assert sum(found["counts"].values()) == len(found["lines"])
    assert (found["applied"], found["set_aside"], found["left"]) == (False, [], [])
    goes = {row["line"] for row in found["lines"] if row["lot"] == "goes"}
    done = shell(
        "page", "trim", "--source", "Glanmorwen 1898", "--code", "r1", "--apply-with-notes", "--json"
    ).document
    assert done["applied"] is True
    assert set(done["set_aside"]) <= goes
    assert done["noted"]
    assert done["left"] == []


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("w3", "--code", "r9"), "r9"),
        (("w99", "--code", "r1"), "w99"),
        (("--code", "r1"), "Give a page, or --source"),
        (("w3", "--source", "Glanmorwen 1898", "--code", "r1"), "Give a page, or --source"),
        (("w3", "--code", "r1", "--label", "cricket"), "No line is labelled 'cricket'"),
    ],
    ids=["no code", "no page", "neither", "both", "no label"],
)
def test_what_is_wrong_is_said_and_nothing_done(shell: Any, arguments: tuple[str, ...], said: str) -> None:
    ran = shell("page", "trim", *arguments, "--apply")
    assert ran.code == BAD_INPUT
    assert said in ran.err
