"""find, reindex, merge and part on the command line."""

import sqlite3
from collections.abc import Callable
from typing import Any

import pytest

Shell = Callable[..., Any]


def ids(ran: Any) -> list[str]:
    return [line.split("\t")[0] for line in ran.out.splitlines() if "\t" in line]


def test_a_name_is_found_from_both_languages_with_the_other_beside_it(shell: Shell) -> None:
    assert "bachiad\tcy\tback-heel\tA mutated form" in shell("find", "fachiad").out
    assert "back-heel\ten\tbachiad" in shell("find", "backheel").out


@pytest.mark.parametrize(
    "only",
    [
        ["--topic", "throw"],
        ["--origin", "rebuilt"],
        ["--stage", "draft"],
        ["--source", "s1"],
        ["--verdict", "breaks the rules", "--code", "r1"],
        ["--verdict", "fits"],
        ["--since", "1895"],
        ["--until", "1870"],
        ["--since", "1880", "--until", "189X", "--topic", "kick"],
    ],
    ids=" ".join,
)
def test_conditions_narrow_the_search(shell: Shell, only: list[str]) -> None:
    left = ids(shell("find", *only, "--limit", "1000"))
    result = ids(shell("find", "a", *only, "--limit", "1000"))

    assert 0 < len(left) < 68
    assert set(result) <= set(left)


@pytest.mark.parametrize(
    ("only", "expected"),
    [
        ([], "Type something to search for"),
        (["--since", "18x9"], "not a valid date"),
        (["--source", "no such"], "no source"),
        (["--verdict", "fits", "--code", "no such"], "no rule code"),
    ],
)
def test_an_invalid_condition_is_reported(shell: Shell, only: list[str], expected: str) -> None:
    ran = shell("find", *only)

    assert ran.code == 2
    assert expected in ran.err


TYPED = {
    "long": "a" * 10_000,
    "spaces": "   ",
    "marks": "\u0301\u0302",
    "right to left": "\u202eלום",
    "emoji": "\U0001f93c\u200d\u2642\ufe0f",
    "bytes": "\udcff\udcfe",
    "half": "\ud800",
    "SQL": "'; DROP TABLE entry; --",
    "LIKE": "%_%",
    "operators": '"x" OR NEAR(*',
    "hyphen": "-",
    "control": "\x01\x1b",
}


@pytest.mark.parametrize("typed", list(TYPED.values()), ids=list(TYPED))
@pytest.mark.parametrize("more", [[], ["--json"]], ids=["text", "json"])
def test_find_accepts_any_input(shell: Shell, typed: str, more: list[str]) -> None:
    ran = shell("find", *more, "--", typed)

    assert ran.code == 0
    assert len(ran.out) < 20_000


def test_an_outdated_search_index_is_reported_until_it_is_rebuilt(shell: Shell) -> None:
    assert shell("find", "cic").err == ""
    with sqlite3.connect(shell.db) as connection:  # type: ignore[attr-defined]
        connection.execute("UPDATE key_build SET version = 'of old' WHERE language = 'cy'")
    connection.close()
    warned = shell("find", "cic").err
    assert "Welsh" in warned
    assert "wordhold reindex" in warned

    made = shell("reindex")

    assert "Indexed" in made.out
    assert shell("find", "cic").err == ""


def test_two_entries_are_merged_and_separated_again(shell: Shell) -> None:
    looked = shell("merge", "c0001", "c0008", "--preview")
    assert "preferred cy" in looked.out
    assert shell("merge", "c0001", "c0008").code == 2

    answers = (
        "preferred en=this",
        "preferred cy=this",
        "topic=this",
        "definition en=both",
        "definition cy=both",
    )
    merged = shell("merge", "c0001", "c0008", *(word for each in answers for word in ("--choose", each)))

    assert merged.code == 0
    shown = shell("show", "c0008")
    assert "c0008 has been merged into c0001" in shown.err
    assert "gafael strap" in shown.out
    judged = shell("judge", "c0008")
    assert judged.out == shell("judge", "c0001").out
    assert "c0008 has been merged into c0001" in judged.err
    assert "are already the same entry: c0001" in shell("merge", "c0001", "c0008").err
    assert "are already the same entry: c0001" in shell("merge", "c0008", "c0001").err
    assert (
        shell("merge", "c0008", "c0002", "--preview").out == shell("merge", "c0001", "c0002", "--preview").out
    )
    assert shell("part", "c0008").code == 0
    assert shell("show", "c0008").err == ""


@pytest.mark.parametrize("given", ["topic", "topic=nonsense"])
def test_an_empty_choice_is_rejected(shell: Shell, given: str) -> None:
    assert shell("merge", "c0001", "c0008", "--choose", given, "--preview").code == 2


@pytest.mark.parametrize("given", ["back-heel", "BACK HEELS", "fachiad sawdl", "c0015", "c0015 back-heel"])
@pytest.mark.parametrize("command", ["show", "judge"])
def test_any_form_of_a_name_identifies_an_entry(shell: Shell, command: str, given: str) -> None:
    ran = shell(command, given)

    assert ran.code == 0
    assert "c0015  back-heel" in ran.out


def test_merge_accepts_names(shell: Shell) -> None:
    assert "heel-hook (en)" in shell("merge", "back-heel", "heel hook", "--preview").out


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ("hold", "Several entries are called “hold”. Choose one: c0007"),
        ("xylophone", "No entry is called “xylophone”."),
        ("heel-hok", "No entry is called “heel-hok”, but some have a similar name. Choose one: c0017"),
    ],
)
def test_an_ambiguous_name_is_rejected_with_the_candidates(shell: Shell, given: str, expected: str) -> None:
    ran = shell("show", given)

    assert ran.code == 2
    assert expected in " ".join(ran.err.split())


def test_words_of_a_name_and_a_definition_find_the_entry(shell: Shell) -> None:
    first = shell("find", "heel him from behind").out.splitlines()[0]

    assert first.startswith("c0015\tback-heel")
    assert "“him”, “from” in the definition" in first
