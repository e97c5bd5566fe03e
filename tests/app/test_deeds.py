"""Acts are kept in English and said again in the reader's language."""

import pytest

from app.deeds import again_of
from termbase.messages import Message
from termbase.store import Store


@pytest.mark.parametrize(
    "what",
    [
        "took back: set aside",
        "took back: changed the notes of c0012",
        "“belt” (Glanmorwen 1898, p. 12, line 3): set aside (another sport)",
        "took back: “belt” (Glanmorwen 1898, p. 12, line 3): attached to c0065",
        "brought back c0012 as it was after 2025-01-02 (changed a name of c0012)",
        "made the entry belt · gwregys",
        "took in list.csv",
    ],
)
def test_an_act_that_is_kept_in_english_is_said_again_with_its_values(what: str) -> None:
    said = again_of(what)
    assert said == what
    assert isinstance(said, Message)


def test_an_act_in_words_that_are_nobodys_stays_as_it_is() -> None:
    assert again_of("did what no program does") == "did what no program does"
    assert not isinstance(again_of("did what no program does"), Message)


def test_every_act_of_the_demo_can_be_said_again(demo_store: Store) -> None:
    with demo_store.read() as reader:
        acts = reader.last_acts(1000)
    assert acts
    assert [act.what for act in acts if not isinstance(again_of(act.what), Message)] == []
