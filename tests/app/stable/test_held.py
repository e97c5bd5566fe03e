"""The comparison with a list of held names: what it lets pass and what it does not."""

import pytest

from tests.app.stable.held import Names, missing

HELD: Names = {
    "find": {"limit": "number", "note": "null", "date": "text or null", "choices": ["ready", "draft"]},
}


def changed(**fields: Names | list[str] | str) -> Names:
    result = HELD["find"]
    assert isinstance(result, dict)
    return {"find": {**result, **fields}}


@pytest.mark.parametrize(
    "now",
    [
        HELD,
        {**HELD, "show": {"entry": "text"}},
        changed(language="text"),
        changed(choices=["draft", "open", "ready"]),
        changed(date="null"),
        changed(note="text"),
    ],
    ids=["same", "new group", "new field", "new choice", "empty this time", "filled this time"],
)
def test_additions_pass(now: Names) -> None:
    assert list(missing(HELD, now)) == []


@pytest.mark.parametrize(
    ("now", "expected"),
    [
        ({}, "find: gone"),
        ({"find": {}}, "find > limit: gone"),
        (changed(limit="text"), "find > limit: was number, is now text"),
        (changed(limit="number or null"), "find > limit: was number, is now number or null"),
        (changed(choices=["draft"]), "find > choices > ready: gone"),
        (changed(choices={"ready": "text"}), "find > choices: is now something else"),
    ],
)
def test_removed_and_changed_names_are_listed(now: Names, expected: str) -> None:
    assert expected in list(missing(HELD, now))
