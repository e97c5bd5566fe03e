"""What the record keeps of ours in English is a message again, so that a face says it in its language."""

import pytest

from termbase.differences import differences
from termbase.keptwords import kept_said, printed_part_said
from termbase.messages import spoken


class Brackets:
    language = "cy"

    def one(self, text: str, /) -> str:
        return f"⟦{text}⟧"

    def number(self, one: str, many: str, n: int, /) -> str:
        return f"⟦{one if n == 1 else many}⟧"


@pytest.mark.parametrize(
    ("kept", "said"),
    [
        ("another sport: boxing", "⟦another sport: boxing⟧"),
        ("another style, by its label “box”", "⟦another style, by its label “box”⟧"),
        ("breaks the rules under Fair: it kicks.", "⟦breaks the rules under Fair: it kicks.⟧"),
        ("There should be gender here.", "⟦There should be ⟦gender⟧ here.⟧"),
        ("ditto", "⟦ditto⟧"),
    ],
)
def test_a_kept_text_of_ours_is_said(kept: str, said: str) -> None:
    assert spoken(kept_said(kept), Brackets()) == said
    assert kept_said(kept) == kept


def test_the_part_of_a_line_is_said_within_its_sense() -> None:
    part = "sense 1 equivalent 2 gender"

    assert spoken(printed_part_said(part), Brackets()) == "⟦sense 1 equivalent 2 ⟦gender⟧⟧"
    assert printed_part_said(part) == part


def test_a_change_says_why_a_line_was_set_aside_and_what_a_relation_is() -> None:
    (found,) = differences('{"reason": ""}', '{"reason": "another sport: boxing"}')
    (related,) = differences('{"relations": []}', '{"relations": [{"kind": "broader", "target_id": "c1"}]}')

    assert spoken(found.after, Brackets()) == "⟦another sport: boxing⟧"
    assert "“⟦broader⟧”" in spoken(related.field, Brackets())
