"""What an output leaves out: which fields of the record, why, and how many values of one record that are.

Each output keeps a table `LEFT_OUT` beside itself, from the path of a field (`termbase.fieldpaths`) to the
reason. A test fills every field of every record with a mark and looks for it in every output: what is lost
and stands in no table fails, and so does what stands there and is not lost.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from termbase.messages import message

__all__ = [
    "BOOKKEEPING", "EDITORS", "HERE", "IN_BACKUP", "NO_ADDRESS", "WHO_WAS_THERE", "Because", "because",
]  # fmt: skip

BOOKKEEPING: Final = message("Bookkeeping of the store.")
EDITORS: Final = message("It is for the editors only and is never printed or sent out.")
HERE: Final = message("What is printed is a matter of this termbase.")
NO_ADDRESS: Final = message("A picture kept in the termbase has no address that others could open.")
WHO_WAS_THERE: Final = message("Who was on the mat is not for other systems.")
IN_BACKUP: Final = message("It is how the work was done, and stays here and in backups.")

Because = Mapping[str, str]
"""Why fields are not in an output, by their paths."""


def because(*reasons: tuple[str, Sequence[str]]) -> Because:
    """The table of an output from each reason with the paths it is true of."""
    return MappingProxyType({path: why for why, paths in reasons for path in paths})
