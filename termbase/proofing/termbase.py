"""Checks of the whole termbase: homonyms, loops, sources, unsorted slips, pages, rule codes."""

from collections import defaultdict

from termbase.errors import BadInput
from termbase.messages import message
from termbase.overviews.articles import Library
from termbase.proofing.entries import faulty_date, faulty_tag
from termbase.proofing.findings import Finding, Findings
from termbase.record.entries import Entry
from termbase.record.pages import Page
from termbase.record.sources import Slip, Source
from termbase.rules.consistency import contradictions
from termbase.store.links import circles, read_broader

__all__ = [
    "broader_circles", "code_contradicts", "homonyms", "lines_left", "source_faults", "source_gaps",
    "termbase_tags", "unsorted",
]  # fmt: skip

MOST_SHOWN = 12  # entries of one loop that a finding names


def homonyms(library: Library) -> Findings:
    """Two entries have the same name: correct if they are different ideas, otherwise a duplicate."""
    seen: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for batch in library.reader.entries():
        for entry in batch:
            for key in dict.fromkeys((t.language, t.text) for t in entry.terms):
                seen[key].append(entry.id)
    for (_, text), ids in seen.items():
        if len(ids) > 1:
            yield Finding(
                "homonym",
                "entry",
                ids[0],
                text,
                message("%(entries)s have the same name %(name)s.", entries=", ".join(ids), name=repr(text)),
                message("This is correct if they are different ideas. Otherwise merge them."),
                ids[1],
            )


def broader_circles(library: Library) -> Findings:
    """Broader entries form a loop, so that each is broader than itself."""
    for ids in circles(read_broader(library.reader)):
        first, last = ids[0], ids[-1]
        names = library.reader.many(Entry, ids)
        shown = [f"{i} “{names[i].terms[0].text}”" if i in names else i for i in ids[:MOST_SHOWN]]
        if len(ids) > MOST_SHOWN:
            shown.append("…")
        yield Finding(
            "broader-circle",
            "entry",
            last,
            names[last].terms[0].text if last in names else last,
            message(
                "Its broader entries lead back to itself: %(entries)s.",
                entries=" → ".join((*shown, shown[0])),
            ),
            message("Delete one of these broader relations."),
            first if first != last else "",
        )


def unsorted(library: Library) -> Findings:
    """A slip is not sorted to a name yet."""
    for slip in library.reader.all(Slip, term_id=None):
        name = slip.name or slip.text[:40]
        what = message("The slip is not sorted to a name yet.")
        fix = message("Sort it to a name, or create an entry.")
        yield Finding("unsorted-slip", "slip", slip.id, name, what, fix)


def source_gaps(library: Library) -> Findings:
    """A source has no date or no rights statement."""
    for source in library.sources.values():
        what = _missing(source)
        if what:
            fix = message("Fill in what is missing.")
            yield Finding("source-gaps", "source", source.id, source.label, what, fix)


def _missing(source: Source) -> str:
    if not (source.issued or source.rights):
        return message("Its date and rights are missing.")
    if not source.issued:
        return message("Its date is missing.")
    return "" if source.rights else message("Its rights are missing.")


def lines_left(library: Library) -> Findings:
    """A word-list page has lines still to work."""
    counts = library.reader.page_counts()
    for page in library.reader.all(Page):
        count = counts.get(page.id)
        if count and count.left:
            label = library.sources[page.source_id].label
            name = message("%(source)s, p. %(page)s", source=label, page=page.number)
            what = message("%(left)s of %(n)s lines remain.", left=count.left, n=count.total)
            yield Finding("lines-left", "page", page.id, name, what, message("Work through them."))


def code_contradicts(library: Library) -> Findings:
    """Two equally specific clauses of a rule code say different things about the same matter."""
    for code in library.codes:
        try:
            sentences = [contradiction.sentence for contradiction in contradictions(code)]
        except BadInput as error:
            sentences = [error.what]
        for sentence in sentences:
            fix = message("Check what the sources say, then limit or correct one of the clauses.")
            yield Finding("code-contradicts", "code", code.id, code.name, sentence, fix)


def source_faults(library: Library) -> Findings:
    """A source, a rule code, or a slip that waits unsorted has a date that cannot be read as EDTF."""
    for source in library.sources.values():
        if source.issued and (fault := faulty_date(source.issued)):
            yield _date("source", source.id, source.label, source.issued, fault)
    for slip in library.reader.all(Slip, term_id=None):
        if slip.date and (fault := faulty_date(slip.date)):
            yield _date("slip", slip.id, slip.name or slip.text[:40], slip.date, fault)
    for code in library.codes:
        if code.period and (fault := faulty_date(code.period)):
            yield _date("code", code.id, code.name, code.period, fault)


def termbase_tags(library: Library) -> Findings:
    """The termbase or a source has an invalid language tag."""
    for tag in library.termbase.languages:
        if fault := faulty_tag(tag):
            yield _tag("termbase", library.termbase.id, library.termbase.title, tag, fault)
    for source in library.sources.values():
        if source.language and (fault := faulty_tag(source.language)):
            yield _tag("source", source.id, source.label, source.language, fault)


def _date(kind: str, record_id: str, name: str, date: str, fault: str) -> Finding:
    what = message("Its date is “%(date)s”: %(fault)s", date=date, fault=fault)
    return Finding(
        "date-fault", kind, record_id, name, what, message("Write it in EDTF, for example 1898-06.")
    )


def _tag(kind: str, record_id: str, name: str, tag: str, fault: str) -> Finding:
    what = message("Its language has the tag “%(tag)s”: %(fault)s", tag=tag, fault=fault)
    return Finding("tag-fault", kind, record_id, name, what, message("Correct the tag."))
