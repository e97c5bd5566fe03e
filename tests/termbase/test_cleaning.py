"""What comes into the record: texts brought in order, everything wrong told at once and with its place."""

import pytest

from termbase.entries import Entry, Origin, Term
from termbase.errors import BadInput
from termbase.intake import take_entry


def test_what_is_wrong_in_a_record_is_told_with_its_path() -> None:
    wrong = Term("", " ", "not a tag", Origin.COINED, printed="x", printed_language="no tag either")
    with pytest.raises(BadInput) as caught:
        take_entry(Entry("", terms=(Term("", "hank", "en", Origin.COINED), wrong)))
    assert [error.path for error in caught.value.every] == [
        ("terms", 1, "text"),
        ("terms", 1, "language"),
        ("terms", 1, "printed_language"),
    ]
