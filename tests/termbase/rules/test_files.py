"""Rule codes and profiles as TOML."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.errors import BadInput
from termbase.rules.clauses import LegRule, Limits, RuleCode, StartHold
from termbase.rules.files import BadRows, read_codes, read_profiles, write_codes, write_profiles
from termbase.technique.profile import Hand, NamedProfile, Profile, Stated
from tests.termbase.judging.strategies import CODES, NAMED_PROFILES

CODE = """
[[code]]
id = "r01"
name = "Fair rules"
place = "Glanmorwen"
period = "1868"
sources = ["Fair rules 1868"]

[[code.clause]]
family = "start hold"
id = "1"
right = ["shoulder strap"]
left = ["belt near side"]
limits = { years = "1868/1884", wrestlers = "men" }

[[code.clause]]
family = "legs"
id = "2"
stance = "barred"
uses = ["kick"]
"""

TECHNIQUE = """
[[technique]]
id = "c0012"
name = "back heel"
basis = "slip"
ref = "s0034"
leg_use = "hook"
contact = ["heel"]
first_down = { value = "he", basis = "trial", ref = "t003" }
right = { places = ["shoulder strap"], work = "push", essential = false }
"""


def test_a_code_is_read_with_its_clauses() -> None:
    assert read_codes(CODE, "codes.toml") == (
        RuleCode(
            "r01",
            "Fair rules",
            place="Glanmorwen",
            period="1868",
            sources=("Fair rules 1868",),
            clauses=(
                StartHold(
                    id="1",
                    right=("shoulder strap",),
                    left=("belt near side",),
                    limits=Limits(years="1868/1884", wrestlers="men"),
                ),
                LegRule(id="2", stance="barred", uses=("kick",)),
            ),
        ),
    )


def test_a_profile_is_read_with_the_origin_of_its_table_unless_it_has_its_own() -> None:
    right = Hand(
        places=Stated(("shoulder strap",), "slip", "s0034"),
        work=Stated("push", "slip", "s0034"),
        essential=Stated(False, "slip", "s0034"),
    )
    profile = Profile(
        right=right,
        leg_use=Stated("hook", "slip", "s0034"),
        contact=Stated(("heel",), "slip", "s0034"),
        first_down=Stated("he", "trial", "t003"),
    )
    assert read_profiles(TECHNIQUE, "t.toml") == (NamedProfile("c0012", "back heel", profile=profile),)


@given(st.lists(CODES, max_size=1))
def test_codes_survive_being_written_and_read(codes: list[RuleCode]) -> None:
    assert read_codes(write_codes(codes), "again") == tuple(codes)


@given(st.lists(NAMED_PROFILES, max_size=3, unique_by=lambda named: named.id))
def test_profiles_survive_being_written_and_read(profiles: list[NamedProfile]) -> None:
    assert read_profiles(write_profiles(profiles), "again") == tuple(profiles)


@pytest.mark.parametrize(
    ("before", "after", "where", "what"),
    [
        ('"shoulder strap"', '"epaulette"', "line 9, clause 1 “1”, field right", "Invalid enum value"),
        ('family = "legs"', 'family = "feet"', "line 16, clause 2 “2”", "“feet” is not a clause family"),
        ('family = "legs"\n', "", "line 16, clause 2 “2”", "The family is missing."),
        ('stance = "barred"\n', "", "line 16, clause 2 “2”", "required field `stance`"),
        ("uses =", "use =", "line 16, clause 2 “2”", "There is no field “use” here."),
        ('years = "1868/1884"', 'years = "old"', "field limits.years", "“old” is not a year"),
        ('years = "1868/1884"', 'year = "1868"', "line 9, clause 1 “1”", "There is no field “year” here."),
        ('period = "1868"', 'period = "long ago"', "line 2, code 1 “r01”, field period", "“long ago”"),
        ('period = "1868"', 'era = "1868"', "line 2, code 1 “r01”", "There is no field “era” here."),
        ('id = "2"', 'id = "1"', "line 2, code 1 “r01”", "2 clauses have the id “1”."),
        ('name = "Fair rules"\n', "", "line 2, code 1 “r01”", "required field `name`"),
    ],
)
def test_a_bad_row_is_named_with_its_place(before: str, after: str, where: str, what: str) -> None:
    with pytest.raises(BadRows) as caught:
        read_codes(CODE.replace(before, after), "codes.toml")
    assert where in caught.value.rows[0].where
    assert what in caught.value.rows[0].what
    assert caught.value.rows[0].fix


def test_every_bad_row_is_listed_and_nothing_is_imported() -> None:
    text = CODE.replace('"shoulder strap"', '"epaulette"').replace('"barred"', '"forbidden"')
    with pytest.raises(BadRows, match="2 bad rows; nothing was imported") as caught:
        read_codes(text, "codes.toml")
    assert ["clause 1" in caught.value.rows[0].where, "clause 2" in caught.value.rows[1].where] == [
        True,
        True,
    ]


@pytest.mark.parametrize(
    ("before", "after", "what"),
    [
        ('"hook"', '"hop"', "Invalid enum value 'hop'"),
        ('"push"', '"shove"', "Invalid enum value 'shove'"),
        ("leg_use", "legs", "There is no field “legs” here."),
        ("places", "place", "There is no field “right.place” here."),
        ('basis = "slip"', 'basis = "rumour"', "Invalid enum value 'rumour'"),
        ("essential = false", "essential = 0", "Expected `bool`"),
    ],
)
def test_a_bad_technique_is_named_with_its_place(before: str, after: str, what: str) -> None:
    with pytest.raises(BadRows) as caught:
        read_profiles(TECHNIQUE.replace(before, after, 1), "t.toml")
    assert caught.value.rows[0].where.startswith("t.toml, line 2, technique 1 “c0012”")
    assert what in caught.value.rows[0].what


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("[[code]\n", "This is not TOML"),
        ("[[codes]]\n", "not “codes”"),
        ('code = "r01"\n', "Only [[code]] tables"),
    ],
)
def test_a_file_of_another_kind_is_refused(text: str, what: str) -> None:
    with pytest.raises(BadInput) as caught:
        read_codes(text, "codes.toml")
    assert what in caught.value.what
    assert caught.value.where.startswith("codes.toml")
