"""Whether a file of another system keeps the standard (ISO 30042:2019): each breach with its line and rule.

`core` is the table of the core elements, `checking` holds pieces of a file against it and against the data
categories of the dialect, `breaches` collects what was found. `exports.tbx.validating` checks our own files,
which use a part of the standard only, before they are given out.
"""

from exports.tbx.standard.breaches import Breach, Breaches
from exports.tbx.standard.checking import StandardCheck

__all__ = ["Breach", "Breaches", "StandardCheck"]
