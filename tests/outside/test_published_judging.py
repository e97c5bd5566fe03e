"""Published techniques judged under published rules, against the verdicts the sources give.

The encodings in judging/*.toml name their sources; judging/misses.md explains every miss.
"""

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from termbase.judging.deciding import judge
from termbase.rules.consistency import contradictions
from termbase.rules.files import read_codes, read_profiles, write_codes, write_profiles
from termbase.technique.profile import Stated

HERE = Path(__file__).parent / "judging"
PUBLISHED = Path(__file__).parents[2].parent / "shared" / "reference" / "judging" / "published.json"
STYLES = read_codes((HERE / "styles.toml").read_text("utf-8"), "styles.toml")
TECHNIQUES = read_profiles((HERE / "techniques.toml").read_text("utf-8"), "techniques.toml")

needs_reference = pytest.mark.skipif(
    not PUBLISHED.exists(), reason="the published verdicts (../shared/reference/judging) are not here"
)


class Row(NamedTuple):
    technique: str
    style: str
    strength: str
    published: str
    judged: str

    @property
    def agrees(self) -> bool:
        """Fits and fits with a changed grip count as one."""
        return self.judged[:4] == self.published[:4]


def rows() -> Iterator[Row]:
    codes = {code.id: code for code in STYLES}
    named = {technique.id: technique for technique in TECHNIQUES}
    for technique in json.loads(PUBLISHED.read_text("utf-8"))["techniques"]:
        mine = named[technique["id"]]
        for style, row in technique["verdicts"].items():
            verdict = judge(mine.profile, codes[style], names=(mine.name, *mine.names))
            yield Row(mine.id, style, row["strength"], row["verdict"], verdict.word)


def share(found: list[Row], apart: bool = False) -> float:
    good = [row for row in found if (row.judged == row.published if apart else row.agrees)]
    return len(good) / len(found)


@needs_reference
def test_every_published_style_and_technique_is_encoded() -> None:
    published = json.loads(PUBLISHED.read_text("utf-8"))
    assert [code.id for code in STYLES] == list(published["styles"])
    assert [technique.id for technique in TECHNIQUES] == [one["id"] for one in published["techniques"]]


@needs_reference
def test_verdicts_agree_with_the_published_ones(capsys: pytest.CaptureFixture[str]) -> None:
    found = list(rows())
    with capsys.disabled():
        print(report(found))  # noqa: T201
    solid = [row for row in found if row.strength == "solid"]
    unsettled = [row for row in found if row.strength == "unsettled"]
    assert share(solid) >= 0.97
    assert share(solid, apart=True) >= 0.85
    assert share(unsettled) >= 0.80


@needs_reference
def test_every_miss_is_explained() -> None:
    explained = (HERE / "misses.md").read_text("utf-8")
    missed = [f"{row.technique} {row.style}" for row in rows() if not row.agrees]
    assert [miss for miss in missed if miss not in explained] == []


def report(found: list[Row]) -> str:
    lines = [""]
    for title, field in (("strength", "strength"), ("style", "style"), ("published verdict", "published")):
        for key in dict.fromkeys(getattr(row, field) for row in found):
            group = [row for row in found if getattr(row, field) == key]
            good, apart = (round(len(group) * share(group, way)) for way in (False, True))
            lines.append(f"{title:18}{key:26}{good:4} of {len(group):3}, apart {apart:3}")
    words = Counter(row.judged for row in found)
    lines.append(", ".join(f"{word}: {count}" for word, count in words.items()))
    return "\n".join(lines)


@pytest.mark.parametrize("code", STYLES, ids=lambda code: code.id)
def test_no_published_style_contradicts_itself(code) -> None:  # type: ignore[no-untyped-def]
    assert contradictions(code) == ()


def test_every_clause_and_value_names_its_source() -> None:
    assert [clause.id for code in STYLES for clause in code.clauses if not clause.sources] == []
    said = [
        value
        for technique in TECHNIQUES
        for holder in (technique.profile, technique.profile.right, technique.profile.left)
        for value in (getattr(holder, name) for name in holder.__slots__ if name not in {"right", "left"})
        if isinstance(value, Stated)
    ]
    assert said
    assert all(value.ref for value in said)


def test_the_encodings_survive_being_written_and_read_again() -> None:
    assert read_codes(write_codes(STYLES), "again") == STYLES
    assert read_profiles(write_profiles(TECHNIQUES), "again") == TECHNIQUES
