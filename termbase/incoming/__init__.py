"""Taking in a record that was made elsewhere, whatever format it came in.

From the outside in: `pieces` (what a file hands over), `matching` (which of it is known here, and under which
ids it goes), `planning` (what would be new, the same, changed), `taking` (doing it, in one act).
"""

from termbase.incoming.pieces import Choice, IncomingEntry, IncomingFile, IncomingRecord, State
from termbase.incoming.planning import Plan, Planned, plan
from termbase.incoming.settling import Circled
from termbase.incoming.taking import Taken, take_in

__all__ = [
    "Choice",
    "Circled",
    "IncomingEntry",
    "IncomingFile",
    "IncomingRecord",
    "Plan",
    "Planned",
    "State",
    "Taken",
    "plan",
    "take_in",
]
