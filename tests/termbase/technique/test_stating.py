"""Converting a profile to and from form values."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from termbase.errors import BadInput
from termbase.technique.profile import NOT_STATED, Profile, Stated
from termbase.technique.words import ATTRIBUTES, BASES, Attribute, StatementText, profile_of, statements_of


def statements(attribute: Attribute) -> st.SearchStrategy[StatementText]:
    most = len(attribute.values) if attribute.several else 1
    values = st.lists(st.sampled_from(attribute.values), min_size=1, max_size=min(most, 4), unique=True)
    return st.builds(
        StatementText, values.map(tuple), st.sampled_from(BASES), st.sampled_from(["", "q1", "Nia P."])
    )


@given(st.fixed_dictionaries({}, optional={a.path: statements(a) for a in ATTRIBUTES}))
def test_statements_survive_the_round_trip(stated: dict[str, StatementText]) -> None:
    assert statements_of(profile_of(stated)) == stated


def test_without_statements_the_profile_is_empty() -> None:
    assert profile_of({a.path: StatementText(()) for a in ATTRIBUTES}) == NOT_STATED
    assert statements_of(None) == {}


def test_booleans_are_yes_and_no() -> None:
    assert statements_of(Profile(falls_on_him=Stated(False))) == {"falls_on_him": StatementText(("no",))}


@pytest.mark.parametrize(
    ("path", "statement"),
    [
        ("gallop", StatementText(("yes",))),
        ("leg_use", StatementText(("gallop",))),
        ("leg_use", StatementText(("trip", "hook"))),
        ("leg_use", StatementText(("trip",), "hearsay")),
    ],
    ids=["attribute", "value", "two where one", "basis"],
)
def test_values_outside_the_vocabulary_are_refused_with_their_path(
    path: str, statement: StatementText
) -> None:
    with pytest.raises(BadInput) as refused:
        profile_of({path: statement})
    assert refused.value.where == path
