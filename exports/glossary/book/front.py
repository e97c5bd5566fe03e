"""The front matter: cautions, the meaning of the signs, how verdicts were reached, abbreviations."""

from collections.abc import Sequence
from typing import Final

from exports.glossary.book.book import Front, KeyLine
from exports.glossary.book.rules import code_about
from exports.glossary.book.wording import (
    FORM_LABELS,
    GENDERED_NOUNS,
    GENDERS,
    LOCATORS,
    NAME_MARKS,
    NUMBERS,
    ORIGIN_SIGNS,
    PARTS_OF_SPEECH,
    VERDICT_MARKS,
)
from termbase.evidence.scales import NameScale
from termbase.judging.verdict import VerdictWord
from termbase.languages.alphabets import sort_key
from termbase.messages import joined, message
from termbase.overviews.articles import Library
from termbase.record.cautions import OWN_CAUTIONS, CautionKind
from termbase.record.entries import Origin, PartOfSpeech
from termbase.record.people import CAUTIONS, Termbase
from termbase.record.sources import Source
from termbase.rules.clauses import RuleCode
from termbase.voice import Voice

__all__ = ["front_matter"]

_KINDS: Final[dict[CautionKind, str]] = {
    "overhead": message("Over the thrower"),
    "lift": message("Lifts"),
    "on him": message("Falling on him"),
    "neck": message("Pressure on the neck"),
    "held neck": message("Holds at the neck"),
    "spine": message("Spine"),
    "joint": message("Joints"),
    "kick": message("Kicks"),
    "young": message("Young people"),
}
_ORIGINS: Final = {
    Origin.IN_USE: message("somebody used it in writing or speech about a bout"),
    Origin.WORD_LIST: message("a dictionary or list gives it; no actual use is known"),
    Origin.REBUILT: message("newly built from recorded parts; marked with *"),
    Origin.COINED: message("newly coined; marked with ‡"),
    Origin.NOT_STATED: message("imported from a file that does not say where the name comes from"),
}
_VERDICTS: Final[dict[VerdictWord, str]] = {
    VerdictWord.FITS: message("every clause that applies is met"),
    VerdictWord.FITS_CHANGED: message(
        "as described, a hand breaks a clause, but the same action is possible from an allowed "
        "place, which is named"
    ),
    VerdictWord.BREAKS: message("a clause is broken whatever the grip"),
    VerdictWord.OPEN: message("cannot be decided yet; the missing information is named"),
}
_EVIDENCE: Final = {
    NameScale.SEVERAL: message("in use by several independent witnesses"),
    NameScale.ONE: message("in use by one witness"),
    NameScale.QUOTED: message("quoted, but no quotation is known to use it"),
    NameScale.WORD_LIST: message("in a word-list only"),
    NameScale.NONE: message("no slip attests it"),
}
_FIGURES: Final = (
    message(
        "Both wrestlers are seen from above. The thrower is shaded, with a filled head; the "
        "other is an outline. The point on the head is the nose."
    ),
    message(
        "A filled disc with R or L shows where the thrower's right or left hand holds; a small "
        "ring beside it is another possible place. An arrow at a hand is a pull or a push, two "
        "arrowheads mean steering, a ring with a dot is a lift, a second ring is a lock."
    ),
    message(
        "The thick line is the leg that acts on the opponent: a bar is a block, a hook goes "
        "round, a curved arrow is a sweep or reap, motion strokes are a kick."
    ),
    joined(
        (
            message(
                "The long arrow shows the direction in which the opponent's balance is broken, "
                "the dashed outline where he ends up lying; a ring with a dot on him means he "
                "is lifted. A second outline on top is the thrower landing on him."
            ),
            message(
                "A stroke through a hand or leg means that it is barred under the rules named. "
                "A dashed ring shows where the hand could go instead."
            ),
            message("Anything else that is dashed or missing is not stated."),
            message("The text below says the same in words."),
        )
    ),
)
_HURT: Final = message(
    "Where someone was hurt in a trial, the article says so before it says how the technique "
    "is done. If an article does not mention injuries, people can still be hurt."
)
_READING: Final = message(
    "Names follow the alphabetical order of their own language. After each name come its "
    "grammar, its origin in small capitals, and its evidence mark. A name that is a guess is "
    "never shown as a record: it has a sign and a word that say so. Quotations are verbatim; a "
    "stroke | marks the end of a line."
)
_DRAFTS: Final = message(
    "An article marked draft has not yet been read for both language and practice; it may be "
    "changed or removed."
)
_WITNESSES: Final = message(
    "Newspapers of the time reprinted one another, so near-identical texts count as one "
    "witness. A witness of use is a quotation that contains the name and certainly or probably "
    "uses it; the years given are those of such witnesses. The mechanic is described (how many "
    "values rest on quotations, and in how many passages), pictured, inferred from an "
    "analogue, or not described. The practice is what all trials on the mat showed, failures "
    "included. A trial that works says nothing about safety."
)
_JUDGED: Final = message(
    "Each technique was checked against each rule code below, clause by clause, using what its "
    "slips, trials and analogues say about hands, legs, falls and pressure. Nothing was "
    "guessed: where the profile or the code does not say what would decide the question, the "
    "verdict is open. An editor’s ruling on a verdict is printed beside it. Within the rules "
    "does not mean safe."
)

_CITED: Final = message(
    "After each reason, the number of the clause and its source are given in square brackets. "
    "Every clause is printed in the words of its source under “The rule codes in full”."
)
_CITING_PART: Final = message(
    "To cite one article, put its name in quotation marks before this and keep the date of the "
    "edition, since articles change between editions. Cite a quotation from its own source, "
    "given beside it; cite reconstructed or coined names as such."
)
"""Author or holder, title, edition, part: the elements of ISO 690 that a termbase has."""


def front_matter(
    codes: Sequence[RuleCode],
    library: Library,
    voice: Voice,
    as_of: str,
    *,
    drafts: bool,
    figures: bool = False,
) -> tuple[Front, ...]:
    """Return the sections before the articles, in order.

    Args:
        codes: the rule codes whose verdicts are printed.
        library: the record.
        voice: the language of the sections.
        as_of: date of the edition in words.
        drafts: whether the book has drafts.
        figures: whether the book has figures.
    """
    made = _Front(voice)
    sources = library.sources
    figured = (made.section(message("How to read a figure"), _FIGURES),) if figures else ()
    return (
        made.cautions(),
        made.reading(drafts),
        *figured,
        made.evidence(),
        *made.rules(codes, sources),
        made.abbreviations(),
        made.citing(library.termbase, as_of),
    )


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


class _Front:
    """Builds the sections in one language."""

    def __init__(self, voice: Voice) -> None:
        self._voice = voice

    def section(self, title: str, paragraphs: Sequence[str] = (), lines: Sequence[KeyLine] = ()) -> Front:
        say = self._voice.say
        return Front(say(title), tuple(map(say, paragraphs)), tuple(lines))

    def cautions(self) -> Front:
        voice = self._voice
        own = {kind: voice.word(text) for kind, text in OWN_CAUTIONS.items()}
        own["young"] = _sentence(own["young"].partition(": ")[2])  # its text says for which readers it is
        lines = [KeyLine(voice.say(_KINDS[kind]), text) for kind, text in own.items()]
        beside = message("The articles of some techniques have an additional caution:")
        return self.section(message("Cautions"), (voice.word(CAUTIONS), beside, voice.say(_HURT)), lines)

    def reading(self, drafts: bool) -> Front:
        lines = [
            KeyLine(f"{ORIGIN_SIGNS[origin]}{self._voice.word(origin.value)}", self._voice.say(text))
            for origin, text in _ORIGINS.items()
        ]
        paragraphs = (_READING, _DRAFTS) if drafts else (_READING,)
        return self.section(message("How to read an article"), paragraphs, lines)

    def evidence(self) -> Front:
        lines = [KeyLine(NAME_MARKS[scale], self._voice.say(text)) for scale, text in _EVIDENCE.items()]
        return self.section(message("What the evidence marks mean"), (_WITNESSES,), lines)

    def rules(self, codes: Sequence[RuleCode], sources: dict[str, Source]) -> tuple[Front, ...]:
        if not codes:
            return ()
        verdicts = [
            KeyLine(f"{VERDICT_MARKS[word]} {self._voice.word(word)}", self._voice.say(text))
            for word, text in _VERDICTS.items()
        ]
        listed = [KeyLine(code.name, code_about(code, sources, self._voice, counted=True)) for code in codes]
        return (
            self.section(message("How the verdicts were reached"), (_JUDGED, _CITED), verdicts),
            self.section(message("The rule codes"), (), listed),
        )

    def citing(self, termbase: Termbase, as_of: str) -> Front:
        edition = self._voice.say(message("edition of %(date)s", date=as_of))
        parts = filter(None, (f"{termbase.title}, {edition}", termbase.rights))
        whole = ". ".join(part.rstrip(".") for part in parts) + "."
        terms = message("Terms of use: %(licence)s.", licence=termbase.licence.rstrip("."))
        texts = (
            message("The whole work: %(citation)s", citation=whole),
            _CITING_PART,
            terms if termbase.licence else "",
        )
        return self.section(message("How to cite"), tuple(filter(None, texts)))

    def abbreviations(self) -> Front:
        voice = self._voice
        words: list[tuple[str, str]] = [
            *((short, long.value) for long, short in PARTS_OF_SPEECH.items()),
            *((short, long.value) for long, short in GENDERS.items()),
            *((short, long) for long, short in FORM_LABELS.items()),
            *((short, long.value) for long, short in NUMBERS.items()),
            *((short, what) for what, short in LOCATORS.items()),
        ]
        pairs: dict[str, dict[str, None]] = {}  # one abbreviation may have two meanings
        for short, long in words:
            pairs.setdefault(voice.say(short), {})[voice.word(long)] = None
        noun = PartOfSpeech.NOUN
        for gender, both in GENDERED_NOUNS.items():
            if (together := voice.say(both)) != voice.say(PARTS_OF_SPEECH[noun]) + voice.say(GENDERS[gender]):
                pairs[together] = {f"{voice.word(noun.value)}, {voice.word(gender.value)}": None}
        ordered = sorted(pairs, key=lambda short: (sort_key(short, voice.language), short))
        meant = {short: "; ".join(pairs[short]) for short in ordered}
        lines = [KeyLine(short, long) for short, long in meant.items() if short != long]
        return self.section(message("Abbreviations"), (), lines)
