"""Acts as the history stores them: one row per act, with what was done as JSON."""

from dataclasses import dataclass
from typing import Final

import msgspec

from termbase.codes.wording import statement_text
from termbase.fields.notes import CodedText
from termbase.store.rows import read_column

__all__ = ["ACT_COLUMNS", "ActRecord", "act_from_row", "act_row", "reason_as_json"]

ACT_COLUMNS: Final = ("id", "at", "by", "what", "undoes")


@dataclass(frozen=True)
class ActRecord:
    """One act in the history: who, when (ISO, UTC), what, and the act that it undoes, if any."""

    id: int
    at: str
    by: str
    what: CodedText
    undoes: int | None

    @property
    def words(self) -> str:
        """What was done, for display: a message, or somebody's own words."""
        return statement_text(self.what)


def reason_as_json(said: CodedText) -> str:
    """Return what was done as a column stores it."""
    return msgspec.json.encode(said).decode()


def act_row(act: ActRecord) -> tuple[int, str, str, str, int | None]:
    """Return the row of an act, in the order of `ACT_COLUMNS`."""
    return act.id, act.at, act.by, reason_as_json(act.what), act.undoes


_decode = msgspec.json.Decoder(CodedText).decode


def act_from_row(number: int, at: str, by: str, what: str, undoes: int | None) -> ActRecord:
    """Return the act that a row contains, from its values in the order of `ACT_COLUMNS`.

    Raises:
        Damaged: the row contains something that no version of the program has written.
    """
    return ActRecord(number, at, by, read_column(_decode, what, "act", number), undoes)
