"""What is wrong or missing before publication: every check is one function in a table.

All findings come back. A finding is a question to the editor with a place to mend it, never a correction.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from termbase import dates, tags
from termbase.articles import Article, Library
from termbase.entries import Origin, PartOfSpeech, Status, Term, Topic
from termbase.errors import BadInput
from termbase.evidence import NameScale
from termbase.pages import Page
from termbase.sources import Slip
from termbase.trials import Outcome

__all__ = ["CHECKS", "Check", "Finding", "proof"]

GENDERED = frozenset({"ga", "gd", "gv", "cy", "kw", "br", "fr", "de", "es", "it", "pt", "la"})
"""Primary language subtags whose nouns have grammatical gender; common practice, no source."""

DONE = frozenset({Topic.HOLD, Topic.THROW, Topic.TRIP, Topic.LIFT, Topic.KICK, Topic.BLOCK, Topic.ESCAPE})
"""Topics that a wrestler does, so that a technique can be described."""


@dataclass(frozen=True)
class Finding:
    """One thing to look at.

    Attributes:
        check: code of the check.
        kind, record_id: what record to open to mend it (`entry`, `slip`, `source`, `page`).
        name: what the record is called, for people.
        what: what is wrong or missing.
        mend: what to do.
    """

    check: str
    kind: str
    record_id: str
    name: str
    what: str
    mend: str


ArticleCheck = Callable[[Article, Library], Iterator[tuple[str, str]]]
WholeCheck = Callable[[Library], Iterator[Finding]]


@dataclass(frozen=True)
class Check:
    """A check: its code, what it looks for in a few words, its function (over one article or the whole)."""

    code: str
    title: str
    of_article: ArticleCheck | None = None
    of_whole: WholeCheck | None = None


def proof(library: Library, on_progress: Callable[[int, int], None] | None = None) -> tuple[Finding, ...]:
    """Run every check; findings in the order of the table, then of making of the records."""
    found: defaultdict[str, list[Finding]] = defaultdict(list)
    for n, article in enumerate(library.articles()):
        if on_progress and n % 200 == 0:
            on_progress(n, 0)
        for check in CHECKS:
            for what, mend in check.of_article(article, library) if check.of_article else ():
                found[check.code].append(
                    Finding(check.code, "entry", article.entry.id, name_of(article, library), what, mend)
                )
    for check in CHECKS:
        if check.of_whole:
            found[check.code].extend(check.of_whole(library))
    return tuple(finding for check in CHECKS for finding in found[check.code])


def name_of(article: Article, library: Library) -> str:
    """What an entry is called for people: its heads in the termbase's languages."""
    heads = [h.text for tag in library.languages() if (h := article.head(tag)) is not None]
    return " · ".join(heads) or article.entry.terms[0].text


def _no_topic(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    if article.entry.topic is None:
        yield "The topic is not given.", "Say what kind of thing it is."


def _no_definition(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    if not any(d.language == library.termbase.working_language for d in article.entry.definitions):
        yield "There is no definition in the working language.", "Write one, or quote one with its source."


def _no_name(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for tag in library.languages():
        if article.head(tag) is None:
            yield (
                f"There is no name in {_called(tag)}.",
                "Add the name; if there is none, rebuild or coin one.",
            )


def _no_slip(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for term in article.entry.terms:
        if not article.slips[term.id] and term.origin in (Origin.IN_USE, Origin.WORD_LIST):
            yield (
                f"No slip bears witness to {_quoted(term)}.",
                "Add the quotation, or change where it comes from.",
            )


def _use_unproved(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for term in article.entry.terms:
        scale = article.names[term.id].scale
        if (
            term.origin is Origin.IN_USE
            and article.slips[term.id]
            and scale in (NameScale.WORD_LIST, NameScale.NONE)
        ):
            yield (
                f"{_quoted(term)} is said to be in use, but no secure slip shows it.",
                "Find one, or say word-list.",
            )


def _no_preferred(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for tag in dict.fromkeys(t.language for t in article.entry.terms):
        mine = [t for t in article.entry.terms if t.language == tag]
        if len(mine) > 1 and not any(t.status is Status.PREFERRED for t in mine):
            yield f"None of the {len(mine)} names in {_called(tag)} is preferred.", "Choose one."


def _made_up_unsaid(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for term in article.entry.terms:
        if term.origin in (Origin.COINED, Origin.REBUILT) and not term.usage_note:
            yield (
                f"{_quoted(term)} is {term.origin.value}, and no note says from what.",
                "Say how it was made.",
            )


def _no_gender(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for term in article.entry.terms:
        noun = term.part_of_speech in (PartOfSpeech.NOUN, PartOfSpeech.VERBAL_NOUN)
        if noun and term.gender is None and term.language.split("-")[0] in GENDERED:
            yield f"{_quoted(term)} has no gender.", "Give its gender."


def _no_technique(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    if article.entry.topic in DONE and article.entry.technique is None:
        yield "How it is done is not described.", "Fill in the technique, as far as anything states it."


def _open_verdict(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for judged in article.judged:
        if judged.verdict.word == "open" and judged.ruling is None:
            yield (
                f"Under {judged.code.name} the verdict is open.",
                "See on the entry what is to be found out.",
            )


def _trial_contradicts(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    words = {
        j.code.id: (j.code.name, j.ruling.verdict if j.ruling else j.verdict.word) for j in article.judged
    }
    for trial in article.trials:
        name, verdict = words.get(trial.code_id, ("", ""))
        if verdict == "breaks the rules" and trial.outcome is Outcome.WORKS:
            yield (
                f"{trial.id} says it works under {name}, where it breaks the rules.",
                "Check profile, code and trial.",
            )
        if verdict == "fits" and trial.outcome is Outcome.FAILS:
            yield f"{trial.id} says it fails under {name}, where it fits.", "Check profile, code and trial."


def _reading_open(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for what, reading in (
        ("language", article.entry.language_reading),
        ("practice", article.entry.practice_reading),
    ):
        if not reading.signed:
            why = f": {reading.reopened}" if reading.reopened else ""
            yield f"It is not read for {what}{why}.", "Read it and sign."


def _slip_out_of_time(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for slips in article.slips.values():
        for slip in slips:
            source = library.sources[slip.source_id]
            if slip.date and source.issued and _apart(slip.date, source.issued):
                yield (
                    f"{slip.id} is dated {slip.date}, its source {source.label} {source.issued}.",
                    "Check both dates.",
                )


def _figure_rights(article: Article, library: Library) -> Iterator[tuple[str, str]]:
    for figure in article.entry.figures:
        if not figure.rights:
            yield (
                f"The figure {figure.caption!r} has no rights stated.",
                "Say who holds them and under what licence.",
            )


def _homonyms(library: Library) -> Iterator[Finding]:
    seen: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for batch in library.reader.entries():
        for entry in batch:
            for key in dict.fromkeys((t.language, t.text) for t in entry.terms):
                seen[key].append(entry.id)
    for (_, text), ids in seen.items():
        if len(ids) > 1:
            yield Finding("homonym", "entry", ids[0], text, f"{', '.join(ids)} have the same name {text!r}.",
                          "Right if they are different ideas; else they are one entry.")  # fmt: skip


def _unsorted(library: Library) -> Iterator[Finding]:
    for slip in library.reader.all(Slip, term_id=None):
        name = slip.name or slip.text[:40]
        yield Finding("unsorted-slip", "slip", slip.id, name, "The slip bears witness to no name yet.",
                      "Sort it to a name, or make an entry.")  # fmt: skip


def _source_gaps(library: Library) -> Iterator[Finding]:
    for source in library.sources.values():
        gaps = [word for word, value in (("date", source.issued), ("rights", source.rights)) if not value]
        if gaps:
            what = f"Its {' and '.join(gaps)} {'is' if len(gaps) == 1 else 'are'} missing."
            yield Finding("source-gaps", "source", source.id, source.label, what, "Fill in what is missing.")


def _lines_left(library: Library) -> Iterator[Finding]:
    counts = library.reader.page_counts()
    for page in library.reader.all(Page):
        counted = counts.get(page.id)
        if counted and counted.left:
            name = f"{library.sources[page.source_id].label}, p. {page.number}"
            what = f"{counted.left} of {counted.total} lines are left."
            yield Finding("lines-left", "page", page.id, name, what, "Work them.")


CHECKS: tuple[Check, ...] = (
    Check("no-topic", "entries without a topic", _no_topic),
    Check("no-name", "languages without a name", _no_name),
    Check("no-definition", "entries without a definition", _no_definition),
    Check("no-slip", "names without a slip", _no_slip),
    Check("use-unproved", "names said to be in use that no secure slip shows", _use_unproved),
    Check("no-preferred", "several names, none preferred", _no_preferred),
    Check("made-up-unsaid", "coined and rebuilt names without a note", _made_up_unsaid),
    Check("no-gender", "nouns without gender", _no_gender),
    Check("no-technique", "techniques that are not described", _no_technique),
    Check("open-verdict", "verdicts that are open", _open_verdict),
    Check("trial-contradicts", "trials that contradict a verdict", _trial_contradicts),
    Check("slip-out-of-time", "slips dated outside their source", _slip_out_of_time),
    Check("figure-rights", "figures without rights", _figure_rights),
    Check("homonym", "the same name in two entries", of_whole=_homonyms),
    Check("unsorted-slip", "slips that bear witness to no name yet", of_whole=_unsorted),
    Check("source-gaps", "sources without date or rights", of_whole=_source_gaps),
    Check("lines-left", "word-list lines not worked yet", of_whole=_lines_left),
    Check("reading-open", "readings not signed", _reading_open),
)
"""Every check, in the order in which findings are shown."""


def _quoted(term: Term) -> str:
    return f"“{term.text}”"


def _called(tag: str) -> str:
    from_babel = tags.display_name(tag)
    return from_babel or tag


def _apart(a: str, b: str) -> bool:
    """Whether two EDTF dates cannot be of the same time."""
    try:
        first, second = dates.parse(a), dates.parse(b)
    except BadInput:
        return False
    low, high = first.earliest(), first.latest()
    other_low, other_high = second.earliest(), second.latest()
    before = high is not None and other_low is not None and high < other_low
    after = low is not None and other_high is not None and low > other_high
    return before or after
