"""Importing a record that was made elsewhere, in any format.

From the outside in: `pieces` (what a file provides), `matching` (what is already known here, and the ids to
use), `planning` (what would be new, the same or changed), `taking` (the import itself, in one act).
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
