"""The table of checks before publication, and the run over all of them.

Every finding is returned. A finding is a question to the editor with a place to fix it, never a correction.
"""

from collections import defaultdict
from collections.abc import Callable, Sequence

from termbase.overviews.articles import Library
from termbase.proofing import entries, termbase
from termbase.proofing.findings import ArticleCheck, Check, Finding, name_of
from termbase.record.entries import Entry

__all__ = ["CHECKS", "Check", "Finding", "name_of", "proof"]

REPORT_EVERY = 50  # entries between progress reports

CHECKS: tuple[Check, ...] = (
    Check("no-topic", "entries without a topic", entries.no_topic),
    Check("no-name", "languages without a name", entries.no_name),
    Check("no-definition", "entries without a definition", entries.no_definition),
    Check("no-slip", "names without a slip", entries.no_slip),
    Check("use-unproved", "names marked as in use without a secure slip", entries.use_unproved),
    Check("origin-contradicts", "origins contradicted by slips", entries.origin_contradicts),
    Check("origin-unstated", "names whose origin is not stated", entries.origin_unstated),
    Check("slip-without-name", "slips that do not contain their name", entries.slip_without_name),
    Check("no-preferred", "several names, none preferred", entries.no_preferred),
    Check("made-up-unsaid", "coined and rebuilt names without a note", entries.made_up_unsaid),
    Check("no-gender", "nouns without gender", entries.no_gender),
    Check("likely-duplicate", "entries that may be duplicates", prepared=entries.likely_duplicate),
    Check("homonym", "the same name in two entries", of_whole=termbase.homonyms),
    Check("broader-circle", "loops of broader entries", of_whole=termbase.broader_circles),
    Check("no-technique", "techniques that are not described", entries.no_technique),
    Check("mechanics", "techniques that do not seem coherent", entries.mechanics_question),
    Check(
        "rests-on-missing",
        "statements based on something that does not exist",
        prepared=entries.rests_on_missing,
    ),
    Check("open-verdict", "open verdicts", entries.open_verdict),
    Check("someone-hurt", "trials in which someone was hurt", entries.someone_hurt),
    Check("injuries-unsaid", "trials that do not state injuries or safety measures", entries.injuries_unsaid),
    Check("people-named", "trials that name people in full", entries.people_named),
    Check("trial-contradicts", "trials that contradict a verdict", entries.trial_contradicts),
    Check("code-contradicts", "clauses that contradict each other", of_whole=termbase.code_contradicts),
    Check("slip-out-of-time", "slips dated outside their source", entries.slip_out_of_time),
    Check("date-fault", "dates that cannot be read", entries.date_fault, of_whole=termbase.source_faults),
    Check("tag-fault", "invalid language tags", entries.tag_fault, of_whole=termbase.termbase_tags),
    Check("figure-rights", "figures without rights", entries.figure_rights),
    Check("unsorted-slip", "slips not sorted to a name yet", of_whole=termbase.unsorted),
    Check("source-gaps", "sources without date or rights", of_whole=termbase.source_gaps),
    Check("lines-left", "word-list pages with lines still to work", of_whole=termbase.lines_left),
    Check("reading-open", "readings not signed", entries.reading_open),
)
"""Every check, in the order in which findings are shown."""


def proof(
    library: Library,
    on_progress: Callable[[int, int], None] | None = None,
    ids: Sequence[str] | None = None,
) -> tuple[Finding, ...]:
    """Run every check and return the findings, in order of the table, then of the records' creation.

    Args:
        library: the record.
        on_progress: called now and then with the number of entries checked and the total.
        ids: the entries to check one by one, in order of creation; all if None. Checks of the whole record
            always cover all of it.
    """
    result: defaultdict[str, list[Finding]] = defaultdict(list)
    total = library.reader.count(Entry) if ids is None else len(ids)
    checks = [(check.code, run) for check in CHECKS for run in _functions_of(check, library)]
    for n, article in enumerate(library.articles(ids)):
        if on_progress and n % REPORT_EVERY == 0:
            on_progress(n, total)
        entry, name = article.entry.id, name_of(article, library)
        for code, run in checks:
            result[code] += [Finding(code, "entry", entry, name, *fault) for fault in run(article, library)]
    for check in CHECKS:
        if check.of_whole:
            result[check.code] += check.of_whole(library)
    if on_progress:
        on_progress(total, total)
    return tuple(finding for check in CHECKS for finding in result[check.code])


def _functions_of(check: Check, library: Library) -> list[ArticleCheck]:
    functions = [check.of_article] if check.of_article else []
    return [*functions, check.prepared(library)] if check.prepared else functions
