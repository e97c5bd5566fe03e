"""What the record proves: the place of a name on its scale, and why."""

import pytest

from termbase.evidence import NameScale, name_evidence
from termbase.sources import Certainty, Slip, SlipKind

ISSUED = {"s1": "1898", "s2": "1902"}


def slip(number: int, text: str, **more: object) -> Slip:
    return Slip(f"q{number}", "s1", text, term_id="t1", **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "unstated",
    [{"kind": SlipKind.NOT_STATED}, {"certainty": Certainty.NOT_STATED}],
    ids=["kind", "certainty"],
)
def test_a_quotation_that_does_not_state_kind_or_certainty_proves_no_use(unstated: dict[str, object]) -> None:
    found = name_evidence([slip(1, "He tried the hank.", **unstated)], ISSUED)
    assert found.scale is NameScale.QUOTED
    assert any("not stated" in reason for reason in found.reasons)
