"""Checks of one entry: its content, its names against their slips, and its trials.

Each check yields what is wrong and how to fix it.
"""

from termbase.codes.wording import statement_text
from termbase.dates import edtf
from termbase.errors import BadInput
from termbase.evidence.scales import IN_USE, NameScale
from termbase.judging.verdict import VerdictWord
from termbase.languages import tags
from termbase.messages import joined, message, message_of_number
from termbase.overviews.articles import Article, Library
from termbase.proofing.findings import ArticleCheck, EntryFaults, language_label, quoted
from termbase.record.cautions import injury_of
from termbase.record.entries import Origin, PartOfSpeech, Status, Topic
from termbase.record.sources import SlipKind
from termbase.record.trials import contradicts, initials_for, names_in_full
from termbase.search.likeness import Resemblance, Resembler, Strength
from termbase.store.links import References
from termbase.technique.coherence import check_mechanics

__all__ = [
    "date_fault",
    "figure_rights",
    "injuries_unsaid",
    "likely_duplicate",
    "made_up_unsaid",
    "mechanics_question",
    "no_definition",
    "no_gender",
    "no_name",
    "no_preferred",
    "no_slip",
    "no_technique",
    "no_topic",
    "open_verdict",
    "origin_contradicts",
    "origin_unstated",
    "people_named",
    "reading_open",
    "rests_on_missing",
    "slip_out_of_time",
    "slip_without_name",
    "someone_hurt",
    "tag_fault",
    "trial_contradicts",
    "use_unproved",
]


GENDERED = frozenset({"ga", "gd", "gv", "cy", "kw", "br", "fr", "de", "es", "it", "pt", "la"})
"""Primary language subtags whose nouns have grammatical gender; common practice, no source."""

ALIKE = 65
"""Similarity at which different names are reported: a letter or two in a name of eight; common practice, no
source."""

MOST_ALIKE = 4
"""How many similar entries are checked; the entry itself is one of them."""

EVERY = 1 << 30
"""No limit."""

DONE = frozenset({Topic.HOLD, Topic.THROW, Topic.TRIP, Topic.LIFT, Topic.KICK, Topic.BLOCK, Topic.ESCAPE})
"""Topics that are actions of a wrestler, so that a technique can be described."""


def no_topic(article: Article, library: Library) -> EntryFaults:
    """The entry has no topic."""
    if article.entry.topic is None:
        yield message("The topic is missing."), message("Choose what kind of thing it is.")


def rests_on_missing(library: Library) -> ArticleCheck:
    """A statement of the technique is based on a slip, a trial or an analogue that does not exist."""
    references = References(library.reader)

    def check(article: Article, _library: Library) -> EntryFaults:
        if article.entry.technique is not None:
            for fault in references.missing(article.entry, article.entry.technique):
                yield joined((message(fault.path), fault.what), ": "), fault.fix

    return check


def no_definition(article: Article, library: Library) -> EntryFaults:
    """There is no definition in the working language."""
    if not any(d.language == library.termbase.working_language for d in article.entry.definitions):
        yield (
            message("There is no definition in the working language."),
            message("Write one, or quote one and name its source."),
        )


def no_name(article: Article, library: Library) -> EntryFaults:
    """The entry has no name in a language of the termbase."""
    for tag in library.termbase.languages:
        if article.head(tag) is None:
            yield (
                message("There is no name in %(language)s.", language=language_label(tag)),
                message("Add the name. If none is known, rebuild or coin one."),
            )


def no_preferred(article: Article, library: Library) -> EntryFaults:
    """There are several names in one language, none of them preferred."""
    for tag in dict.fromkeys(t.language for t in article.entry.terms):
        names = [t for t in article.entry.terms if t.language == tag]
        if len(names) > 1 and not any(t.status is Status.PREFERRED for t in names):
            yield (
                message(
                    "None of the %(n)s names in %(language)s is preferred.",
                    n=len(names),
                    language=language_label(tag),
                ),
                message("Choose one."),
            )


def made_up_unsaid(article: Article, library: Library) -> EntryFaults:
    """A name is coined or rebuilt, but no note says from what."""
    for term in article.entry.terms:
        if term.origin in (Origin.COINED, Origin.REBUILT) and not term.usage_note:
            yield (
                message(
                    "%(name)s is %(origin)s, but no note says from what.",
                    name=quoted(term),
                    origin=message(term.origin.value),
                ),
                message("State how it was made."),
            )


def no_gender(article: Article, library: Library) -> EntryFaults:
    """A noun in a language with genders has no gender."""
    for term in article.entry.terms:
        noun = term.part_of_speech in (PartOfSpeech.NOUN, PartOfSpeech.VERBAL_NOUN)
        if noun and term.gender is None and term.language.split("-")[0] in GENDERED:
            yield message("%(name)s has no gender.", name=quoted(term)), message("Give its gender.")


def no_technique(article: Article, library: Library) -> EntryFaults:
    """It is an action of a wrestler, but how it is done is not described."""
    if article.entry.topic in DONE and article.entry.technique is None:
        yield (
            message("There is no description of how it is done."),
            message("Fill in the technique, as far as anything states it."),
        )


def open_verdict(article: Article, library: Library) -> EntryFaults:
    """A verdict is still open."""
    for judged in article.judged:
        if judged.verdict.word is VerdictWord.OPEN and judged.ruling is None:
            yield (
                message("Under %(code)s the verdict is open.", code=judged.code.name),
                message("The entry lists what you need to find out."),
            )


def trial_contradicts(article: Article, library: Library) -> EntryFaults:
    """A trial contradicts a verdict."""
    words = {
        j.code.id: (j.code.name, j.ruling.verdict if j.ruling else j.verdict.word) for j in article.judged
    }
    for trial in article.trials:
        name, verdict = words.get(trial.code_id, ("", ""))
        if contradicts(trial.outcome, verdict):
            yield (
                message(
                    "%(trial)s says it %(outcome)s under %(code)s, but the verdict is that it %(verdict)s.",
                    trial=trial.id,
                    outcome=message(trial.outcome.value),
                    code=name,
                    verdict=message(verdict),
                ),
                message("Check the technique, the rule code and the trial."),
            )


def reading_open(article: Article, library: Library) -> EntryFaults:
    """One of the two readings is not signed."""
    for what, reading in (
        (message("language"), article.entry.language_reading),
        (message("practice"), article.entry.practice_reading),
    ):
        if not reading.signed:
            yield _not_read(what, statement_text(reading.reopened)), message("Read it and sign.")


def _not_read(what: str, reopened: str) -> str:
    if not reopened:
        return message("It has not been read for %(reading)s.", reading=what)
    return message("It has not been read for %(reading)s: %(why)s.", reading=what, why=reopened)


def slip_out_of_time(article: Article, library: Library) -> EntryFaults:
    """A slip's date is outside its source's date."""
    for slips in article.slips.values():
        for slip in slips:
            source = library.sources[slip.source_id]
            if slip.date and source.issued and _dates_disjoint(slip.date, source.issued):
                yield (
                    message(
                        "%(slip)s is dated %(date)s, but its source %(source)s is dated %(issued)s.",
                        slip=slip.id,
                        date=slip.date,
                        source=source.label,
                        issued=source.issued,
                    ),
                    message("Check both dates."),
                )


def figure_rights(article: Article, library: Library) -> EntryFaults:
    """A figure's rights are not stated."""
    for figure in article.entry.figures:
        if not figure.rights:
            yield (
                message(
                    "The rights for the figure %(caption)s are not stated.", caption=repr(figure.caption)
                ),
                message("Say who holds them and under which licence."),
            )


def mechanics_question(article: Article, library: Library) -> EntryFaults:
    """The described technique does not seem mechanically coherent; a question, never a verdict."""
    profile = article.entry.technique
    for question in check_mechanics(profile) if profile else ():
        yield question.text, message("Check the technique again; leave it if the sources say so.")


def likely_duplicate(library: Library) -> ArticleCheck:
    """An older entry has the same or similar names in the working language and in a vernacular."""
    resembler = Resembler(library.reader, for_every_entry=True)
    languages = library.termbase.languages
    working, vernaculars = languages[0], languages[1:]

    def check(article: Article, library: Library) -> EntryFaults:
        names = {(t.text, t.language) for t in article.entry.terms if t.language in languages}
        shared = {tag for _, tag in names}
        if working not in shared or not shared.intersection(vernaculars):
            return
        key = (len(article.entry.id), article.entry.id)
        candidates = sorted((t for t in names if t[1] != min(shared)), key=lambda t: t[1])
        # An entry similar in two languages is similar in one of all but one, which is quick to check.
        if not any(_older(result, key) for result in resembler.resembling(candidates, limit=EVERY)):
            return
        for result in resembler.resembling(sorted(names), limit=MOST_ALIKE):
            only_near = result.strength is Strength.NEAR and result.score < ALIKE
            if result.languages > 1 and not only_near and _older(result, key):
                yield (
                    message(
                        "It may be the same idea as %(entry)s: %(why)s.",
                        entry=result.entry_id,
                        why=result.why,
                    ),
                    message("Compare the two. If they are one idea, merge them."),
                    result.entry_id,
                )

    return check


def _older(resemblance: Resemblance, key: tuple[int, str]) -> bool:
    return (len(resemblance.entry_id), resemblance.entry_id) < key


def tag_fault(article: Article, library: Library) -> EntryFaults:
    """A language tag is invalid, not canonical, or not of a language of the termbase."""
    entry = article.entry
    tagged = [(quoted(t), tag) for t in entry.terms for tag in (t.language, t.printed_language) if tag]
    tagged += [(message("The definition"), d.language) for d in entry.definitions]
    tagged += [
        (message("The analogue “%(name)s”", name=a.name), a.language) for a in entry.analogues if a.language
    ]
    for what, tag in tagged:
        if fault := faulty_tag(tag):
            yield (
                message(
                    "%(what)s has the language tag “%(tag)s”: %(fault)s", what=what, tag=tag, fault=fault
                ),
                message("Correct the tag."),
            )
    languages = library.termbase.languages
    for term in entry.terms:
        if term.language not in languages and not faulty_tag(term.language):
            yield (
                message(
                    "%(name)s is in %(language)s, which is not a language of this termbase.",
                    name=quoted(term),
                    language=language_label(term.language),
                ),
                message("Add the language to the termbase, or change the tag."),
            )


def date_fault(article: Article, library: Library) -> EntryFaults:
    """A trial or a slip of the entry has a date that cannot be read as EDTF."""
    dated = [(t.id, t.date) for t in article.trials]
    dated += [(s.id, s.date) for slips in article.slips.values() for s in slips if s.date]
    for record_id, date in dated:
        if fault := faulty_date(date):
            yield (
                message(
                    "%(record)s is dated “%(date)s”: %(fault)s", record=record_id, date=date, fault=fault
                ),
                message("Write the date in EDTF, for example 1898-06."),
            )


def faulty_tag(tag: str) -> str:
    """Return what is wrong with a language tag as a sentence; empty if nothing is."""
    try:
        canonical = tags.canonical(tag)
    except BadInput as error:
        return error.what
    return "" if canonical == tag else message("It should be written “%(tag)s”.", tag=canonical)


def faulty_date(date: str) -> str:
    """Return what is wrong with an EDTF date as a sentence; empty if nothing is."""
    try:
        edtf.parse(date)
    except BadInput as error:
        return error.what
    return ""


def _dates_disjoint(a: str, b: str) -> bool:
    """Whether two EDTF dates cannot overlap."""
    try:
        first, second = edtf.parse(a), edtf.parse(b)
    except BadInput:
        return False
    low, high = first.earliest(), first.latest()
    other_low, other_high = second.earliest(), second.latest()
    before = high is not None and other_low is not None and high < other_low
    after = low is not None and other_high is not None and low > other_high
    return before or after


def no_slip(article: Article, library: Library) -> EntryFaults:
    """A name that is recorded has no slip."""
    for term in article.entry.terms:
        if not article.slips[term.id] and term.origin in (Origin.IN_USE, Origin.WORD_LIST):
            yield (
                message("There is no slip for %(name)s.", name=quoted(term)),
                message("Add a quotation, or change the origin of the name."),
            )


def use_unproved(article: Article, library: Library) -> EntryFaults:
    """A name marked as in use has slips, but no witness of use."""
    for term in article.entry.terms:
        used = article.names[term.id].scale in IN_USE
        if term.origin is Origin.IN_USE and article.slips[term.id] and not used:
            yield (
                message("%(name)s is marked as in use, but no secure slip shows it.", name=quoted(term)),
                message("Find one, or change its origin to word-list."),
            )


def origin_contradicts(article: Article, library: Library) -> EntryFaults:
    """The origin of a name contradicts its slips."""
    for term in article.entry.terms:
        evidence, slips = article.names[term.id], article.slips[term.id]
        name = quoted(term)
        listed = any(s.kind is SlipKind.HEADWORD for s in slips)
        if term.origin is Origin.WORD_LIST and evidence.scale in IN_USE:
            yield (
                message_of_number(
                    "%(name)s is marked as found only in a word-list, but %(n)s witness of use is recorded.",
                    "%(name)s is marked as found only in a word-list, but %(n)s witnesses of "
                    "use are recorded.",
                    len(evidence.used),
                    name=name,
                ),
                message("Change its origin to in use. It is already published as in use."),
            )
        elif term.origin is Origin.WORD_LIST and slips and not listed:
            yield (
                message("%(name)s is marked as from a word-list, but no headword shows it.", name=name),
                message("Add the headword, or change its origin."),
            )
        elif term.origin in (Origin.REBUILT, Origin.COINED) and evidence.scale is not NameScale.NONE:
            yield (
                message(
                    "%(name)s is marked as %(origin)s, but it is recorded: %(evidence)s.",
                    name=name,
                    origin=message(term.origin.value),
                    evidence=evidence.words,
                ),
                message("Change its origin, or move the slips to the name that they quote."),
            )


def origin_unstated(article: Article, library: Library) -> EntryFaults:
    """The origin of a name is not stated."""
    for term in article.entry.terms:
        if term.origin is Origin.NOT_STATED:
            yield (
                message("The origin of %(name)s is not stated.", name=quoted(term)),
                message("State its origin."),
            )


def slip_without_name(article: Article, library: Library) -> EntryFaults:
    """A slip's quotation does not contain the name that it is sorted to."""
    for term in article.entry.terms:
        for slip in article.slips[term.id]:
            if slip.id in article.names[term.id].without_name:
                yield (
                    message("%(slip)s does not contain %(name)s.", slip=slip.id, name=quoted(term)),
                    message(
                        "On the slip, say how the name appears (ditto mark, broken, gap, "
                        "misprint), mark it as a description, or move it to another name."
                    ),
                )


def someone_hurt(article: Article, library: Library) -> EntryFaults:
    """Someone was hurt in a trial; check this before publishing the technique."""
    for trial in article.trials:
        if injuries := injury_of(trial):
            yield (
                message(
                    "Someone was hurt in trial %(trial)s: %(injuries)s.",
                    trial=trial.id,
                    injuries=injuries.rstrip("."),
                ),
                message(
                    "It is published before the technique. Check that the safety measures of the trial are "
                    "recorded, and whether the technique should be tried again at all."
                ),
            )


def injuries_unsaid(article: Article, library: Library) -> EntryFaults:
    """A trial does not say whether anyone was hurt, or which safety measures were taken."""
    for trial in article.trials:
        if not trial.injuries.strip():
            yield (
                message("Trial %(trial)s does not say whether anyone was hurt.", trial=trial.id),
                message("Ask the people who tried it; write “None” if nobody was hurt."),
            )
        if not trial.safety.strip():
            yield (
                message("Trial %(trial)s does not say which safety measures were taken.", trial=trial.id),
                message("Ask the people who tried it."),
            )


def people_named(article: Article, library: Library) -> EntryFaults:
    """An imported trial names people in full."""
    for trial in article.trials:
        if names_in_full(trial.people):
            yield (
                message("Trial %(trial)s names people in full.", trial=trial.id),
                message("Write their initials: %(initials)s", initials=initials_for(trial.people)),
            )
