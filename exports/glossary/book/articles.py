"""Turns an article of the record into an article of the book."""

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache

from exports.figures.hands import STRUCK
from exports.figures.technique import draw_technique
from exports.glossary.book import wording
from exports.glossary.book.book import (
    Article,
    Drawing,
    Group,
    Name,
    Quotation,
    Ref,
    Relations,
    Selection,
    Text,
)
from exports.glossary.book.pictures import pictures_of
from exports.glossary.book.rules import barred_words, judged_of, judgements
from termbase.evidence.witnesses import witnesses
from termbase.judging.verdict import Verdict
from termbase.messages import message
from termbase.overviews import articles as record
from termbase.record.cautions import OWN_CAUTIONS, hurt_notices, own_cautions
from termbase.record.entries import Term
from termbase.record.foreign_notes import ForeignNote, only_accepted
from termbase.record.sources import Certainty, Slip, SlipKind
from termbase.record.trials import Trial
from termbase.technique.profile import Profile
from termbase.voice import Voice

__all__ = ["article", "head_of", "names_of", "ref"]


def article(
    original: record.Article,
    names: Mapping[str, Name],
    library: record.Library,
    selection: Selection,
    vernaculars: tuple[str, ...],
) -> Article:
    """Return the full article.

    Its headword is in the working language, otherwise in the first vernacular that has a name.

    Args:
        original: the article of the record.
        names: its names, from `names_of`.
        library: the record.
        selection: what is published.
        vernaculars: the vernaculars published.
    """
    working = library.termbase.working_language
    voice = selection.voice
    entry = original.entry
    head = head_of(original, working, vernaculars)
    head_language = head.language if head else working
    return Article(
        id=entry.id,
        head=names[head.id] if head else Name(f"[{entry.id}]"),
        draft="" if entry.ready else voice.say(message("draft")),
        others=tuple(names[t.id] for t in entry.terms if t.language == head_language and t != head),
        names=tuple(_groups(original, names, tuple(v for v in vernaculars if v != head_language), voice)),
        definitions=tuple(_definitions(original, library, (working, *vernaculars))),
        note=_with_accepted(entry.usage_note, entry.foreign_notes, voice),
        known=_known(original, voice),
        figure=_figure(original, selection),
        pictures=tuple(pictures_of(original, library, voice)) if selection.pictures else (),
        hurt=tuple(map(voice.say, hurt_notices(original.trials))),
        caution=" ".join(map(voice.word, _own_lines(original))),
        quotations=tuple(_quotations(original, library, voice)) if selection.quotations else (),
        verdicts=tuple(judgements(original, library, selection)),
        trials=tuple(_trials(original, library, voice)),
        relations=tuple(_relations(original, working, voice)),
        analogues=tuple(_analogues(original, library)),
    )


def head_of(original: record.Article, working: str, vernaculars: tuple[str, ...]) -> Term | None:
    """Return the headword of an article: the name in the working language, otherwise in a vernacular."""
    return next(filter(None, map(original.head, (working, *vernaculars))), None)


def names_of(original: record.Article, voice: Voice) -> dict[str, Name]:
    """Return every name of an entry with its evidence, by term id."""
    return {term.id: _name(original, term, voice) for term in original.entry.terms}


def _name(original: record.Article, term: Term, voice: Voice) -> Name:
    evidence = original.names[term.id]
    return Name(
        text=term.text,
        lang=wording.primary(term.language),
        sign=wording.ORIGIN_SIGNS[original.origin(term)],
        said=term.pronunciation,
        grammar=wording.grammar(term, voice),
        forms=wording.forms(term, voice),
        origin=voice.word(original.origin(term).alone),
        mark=wording.NAME_MARKS[wording.name_scale(evidence)],
        evidence=wording.evidence_words(evidence, voice),
        printed=term.printed if term.printed != term.text else "",
        labels=wording.labels(term, voice),
        note=_with_accepted(term.usage_note, term.foreign_notes, voice),
    )


def _with_accepted(note: str, foreign: tuple[ForeignNote, ...], voice: Voice) -> str:
    """Return a usage note, then the accepted notes from other files, each with the name of its file."""
    others = (_foreign_note(each, voice) for each in only_accepted(foreign))
    return "\n".join(filter(None, (note, *others)))


def _foreign_note(note: ForeignNote, voice: Voice) -> str:
    if not note.file:
        return note.words()
    return voice.say(message("%(words)s (note from %(file)s)", words=note.words(), file=note.file))


def ref(entry_id: str, terms: Iterable[Term], working: str) -> Ref:
    """Return a reference to an entry by its headword in the working language, otherwise by its first one."""
    heads = {t.language: t for t in terms}
    term = heads.get(working) or next(iter(heads.values()), None)
    return Ref(term.text, wording.primary(term.language), entry_id) if term else Ref(entry_id, "", entry_id)


def _groups(
    original: record.Article, names: Mapping[str, Name], vernaculars: tuple[str, ...], voice: Voice
) -> Iterator[Group]:
    for tag in vernaculars:
        terms = [t for t in original.entry.terms if t.language == tag]
        first = original.head(tag)
        if first is not None:
            ordered = [first, *(t for t in terms if t is not first)]
            yield Group(voice.language_name(tag), tuple(names[t.id] for t in ordered))


def _definitions(
    original: record.Article, library: record.Library, languages: tuple[str, ...]
) -> Iterator[Text]:
    for definition in original.entry.definitions:
        if definition.language in languages:
            source = library.sources.get(definition.source_id)
            yield Text(definition.text, wording.primary(definition.language), source.label if source else "")


def _known(original: record.Article, voice: Voice) -> tuple[str, ...]:
    if original.entry.technique is None and not original.trials:
        return ()
    return (
        voice.say(message("mechanic: %(scale)s", scale=original.mechanic.words)),
        voice.say(message("practice: %(scale)s", scale=original.practice.words)),
    )


def _figure(original: record.Article, selection: Selection) -> Drawing | None:
    """Return the technique as judged by the first code of the book: what that code bars is struck through.

    If an editor has ruled otherwise, nothing is struck through: a ruling does not say what it bars.
    """
    profile, voice = original.entry.technique, selection.voice
    if profile is None or not selection.figures:
        return None
    described = voice.profile(profile)
    first = next(judged_of(original, selection), None)
    verdict = first.verdict if first and not first.ruling else None
    full = " ".join((described, *(barred_words(verdict, voice) if verdict else ())))
    drawn = _svg_of(profile, verdict, voice, full)
    if first and STRUCK in drawn:
        struck = message("Struck through: barred under %(code)s.", code=first.code.name)
        described = f"{described} {voice.say(struck)}"
    return Drawing(drawn, described)


@lru_cache(maxsize=4096)
def _svg_of(profile: Profile, verdict: Verdict | None, voice: Voice, description: str) -> str:
    """Return the same text object for equal techniques, so that a book contains their figure once."""
    return draw_technique(profile, verdict, wording.figure_words(voice), key=None, description=description)


def _own_lines(original: record.Article) -> Iterator[str]:
    """Yield the entry's own cautions; the caution that every technique has is in the front matter."""
    for line in own_cautions(original.entry.topic, original.entry.technique):
        if line != OWN_CAUTIONS["young"]:
            yield line


def _quotations(original: record.Article, library: record.Library, voice: Voice) -> Iterator[Quotation]:
    """Yield the earliest quotation of each witness, oldest first, with the places of its other slips.

    Witnesses are counted across all names of the entry: a line of a word-list that attests names in both
    languages is printed once, and so is a sentence of which another slip has only a part.
    """
    without = frozenset(i for evidence in original.names.values() for i in evidence.without_name)
    for first, *rest in _merged(_witnessed(original, library)):
        source = library.sources.get(first.source_id)
        here = _place(first, library, voice)
        yield Quotation(
            text=wording.run_on(first.text),
            lang=wording.primary(source.language) if source else "",
            date=voice.date(library.date_of(first)),
            source=here,
            also="; ".join(p for p in dict.fromkeys(_place(s, library, voice) for s in rest) if p != here),
            kind=", ".join(map(voice.say, _doubts(first, without))),
        )


def _witnessed(original: record.Article, library: record.Library) -> list[list[Slip]]:
    """Return the slips of each witness to any name, earliest first."""
    slips = {s.id: s for group in original.slips.values() for s in group}
    cited = {s.source_id for s in slips.values()}
    issued = {i: library.sources[i].issued for i in cited if i in library.sources}
    return [
        sorted((slips[i] for i in w.slip_ids), key=lambda s: (wording.date_order(library.date_of(s)), s.id))
        for w in witnesses(tuple(slips.values()), issued)
    ]


def _merged(groups: list[list[Slip]]) -> list[list[Slip]]:
    """Merge a witness whose words are contained in another's, from the same place, into that one."""
    kept: list[list[Slip]] = []
    for group in sorted(groups, key=lambda g: -len(g[0].text)):
        longer = next((k for k in kept if _holds(k[0], group[0])), None)
        if longer is None:
            kept.append(list(group))
        else:
            longer.extend(group)
    order = {group[0].id: n for n, group in enumerate(groups)}
    return sorted(kept, key=lambda g: order[g[0].id])


def _holds(whole: Slip, part: Slip) -> bool:
    places = [(s.source_id, s.page, s.column, s.line, s.item, s.date) for s in (whole, part)]
    return places[0] == places[1] and wording.run_on(part.text) in wording.run_on(whole.text)


def _doubts(slip: Slip, without_name: frozenset[str]) -> Iterator[str]:
    if slip.kind is not SlipKind.USE:
        yield message(slip.kind.alone)
    if slip.certainty is not Certainty.SECURE:
        yield message(slip.certainty.alone)
    if slip.id in without_name:
        yield message("does not contain the name")


def _place(slip: Slip, library: record.Library, voice: Voice) -> str:
    source = library.sources.get(slip.source_id)
    label = source.label if source else slip.source_id
    return ", ".join(filter(None, (label, wording.place_in(slip, voice))))


def _trials(original: record.Article, library: record.Library, voice: Voice) -> Iterator[str]:
    codes = {c.id: c.name for c in library.codes}
    for trial in sorted(original.trials, key=lambda t: (wording.date_order(t.date), t.id)):
        when = voice.date(trial.date)
        if code := codes.get(trial.code_id):
            when = voice.say(message("%(date)s under %(code)s", date=when, code=code))
        change = f" ({trial.change})" if trial.change else ""
        outcome = f"{when}: {voice.word(trial.outcome.value)}{change}"
        yield "; ".join((outcome, *map(voice.say, _safety(trial))))


def _safety(trial: Trial) -> Iterator[str]:
    """Yield the safety measures and injuries of a trial, which are published with its outcome."""
    if trial.safety:
        yield message("safety measures: %(measures)s", measures=trial.safety.rstrip("."))
    if trial.injuries:
        yield message("injuries: %(injuries)s", injuries=trial.injuries.rstrip("."))
    else:
        yield message("injuries not stated")


def _relations(original: record.Article, working: str, voice: Voice) -> Iterator[Relations]:
    kinds: dict[str, list[Ref]] = {}
    for related in original.related:
        kinds.setdefault(related.kind, []).append(ref(related.entry_id, related.heads, working))
    for kind, refs in kinds.items():
        yield Relations(voice.word(kind), tuple(refs))


def _analogues(original: record.Article, library: record.Library) -> Iterator[str]:
    for analogue in original.entry.analogues:
        source = library.sources.get(analogue.source_id)
        yield f"{analogue.name} ({', '.join(filter(None, (analogue.style, source.label if source else '')))})"
