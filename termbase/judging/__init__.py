"""Judge a technique under a rule code. Pure functions: the same inputs give the same verdict and words.

Use `judge` for one profile under one code, `judge_many` for a matrix, `smallest_change` for the smallest edit
that would change a verdict, and `say` for the words.
"""

from typing import TYPE_CHECKING

from termbase.loading import late_names

if TYPE_CHECKING:
    from termbase.judging.changes import smallest_change
    from termbase.judging.deciding import judge, judge_many
    from termbase.judging.saying import say
    from termbase.judging.verdict import (
        UNKNOWN,
        VERDICT_WORDS,
        Change,
        Circumstances,
        Edit,
        GripChange,
        Missing,
        MissingKind,
        Params,
        Reason,
        Verdict,
        VerdictWord,
    )
    from termbase.judging.wording import ENGLISH, Wording
else:  # most commands need only the records of this package
    __getattr__ = late_names(__name__, "verdict", "wording", "saying", "deciding", "changes")

__all__ = [
    "ENGLISH",
    "UNKNOWN",
    "VERDICT_WORDS",
    "Change",
    "Circumstances",
    "Edit",
    "GripChange",
    "Missing",
    "MissingKind",
    "Params",
    "Reason",
    "Verdict",
    "VerdictWord",
    "Wording",
    "judge",
    "judge_many",
    "say",
    "smallest_change",
]
