"""What the tool says of the record, in one language: its messages, and the words of dates, verdicts,
techniques and clauses. A face makes a voice of a catalogue; screens and publications speak by it.
"""

from collections.abc import Sequence
from functools import cached_property
from typing import Final

from babel.lists import format_list

from termbase.dates import parse, readable
from termbase.datewords import ENGLISH as ENGLISH_DATES
from termbase.datewords import DateWords, date_words
from termbase.judging import ENGLISH as ENGLISH_VERDICTS
from termbase.judging.wording import Wording
from termbase.messages import Message, Speaker, message, spoken
from termbase.rulecodes import AnyClause
from termbase.rulecodes.sentences import as_sentence, clause_limits, clause_parts
from termbase.tags import display_name
from termbase.technique import Profile, describe
from termbase.technique.phrases import Phrase, phrases_of
from termbase.technique.stating import ATTRIBUTES

__all__ = ["ENGLISH", "Voice"]


class Voice:
    """Says in one language what the tool itself says; texts of the record are nothing it changes.

    Attributes:
        language: BCP 47 tag of the language.
        speaker: the catalogue.
    """

    def __init__(self, language: str, speaker: Speaker) -> None:
        self.language = language
        self.speaker = speaker
        self._dates: dict[str, str] = {}

    def say(self, text: str) -> str:
        """A message in this language, as a plain text; any other text as it is."""
        return str(spoken(text, self.speaker))

    def template(self, text: str) -> str:
        """A message in this language with its `%(name)s` as they are, to be filled elsewhere."""
        if not isinstance(text, Message):
            return text
        if text.many:
            n = text.values["n"]
            return self.speaker.number(text.template, text.many, n if isinstance(n, int) else 0)
        return self.speaker.one(text.template)

    def word(self, word: str) -> str:
        """A word of the record's closed lists, or a text known to the catalogue; one unknown as it is."""
        return str(self.speaker.one(word)) if word else ""  # the empty text is the head of a catalogue

    def listed(self, texts: Sequence[str]) -> str:
        """Texts as a list in a sentence, as CLDR joins them: `a, b, and c`; in Welsh by commas alone.

        CLDR has `a(c)` there, since *a* turns to *ac* before a vowel and mutates what follows it.
        """
        return ", ".join(texts) if self.language == "cy" else format_list(texts, locale=self.language)

    def language_name(self, tag: str) -> str:
        """The name of a language.

        Raises:
            BadInput: the tag is not well formed.
        """
        return display_name(tag, self.language)

    def date(self, edtf: str) -> str:
        """An EDTF date in words; empty for none.

        Raises:
            BadInput: it is no date.
        """
        if edtf and edtf not in self._dates:
            self._dates[edtf] = readable(parse(edtf), self.date_words)
        return self._dates.get(edtf, "")

    @cached_property
    def date_words(self) -> DateWords:
        """How dates are said."""
        if self.language == "en":
            return ENGLISH_DATES
        return date_words(self.speaker)

    @cached_property
    def verdict_wording(self) -> Wording:
        """How verdicts and their reasons are said."""
        if self.language == "en":
            return ENGLISH_VERDICTS
        values = {value: self.word(value) for attribute in ATTRIBUTES for value in attribute.values}
        # a hand's side agrees with the word for a hand
        hands = {"right": self.word("right (of a hand)"), "left": self.word("left (of a hand)")}
        return Wording(
            {key: self.word(template) for key, template in ENGLISH_VERDICTS.templates.items()},
            values | hands | {word: self.word(phrase) for word, phrase in ENGLISH_VERDICTS.words.items()},
            {place: self.word(phrase) for place, phrase in ENGLISH_VERDICTS.places.items()},
            alternative=self.say(message(" or ")),
            conjunction=self.say(message(" and ")),
        )

    def profile(self, profile: Profile) -> str:
        """What a profile states, in one line: a sentence in English, elsewhere the same as labelled phrases.

        A sentence made of parts cannot be made in a language whose words change beside each other.
        """
        if self.language == "en":
            return describe(profile)
        stated = [self._phrase(phrase) for phrase in phrases_of(profile)]
        if not stated:
            return self.say(message("How it is done is not stated."))
        said = "; ".join(stated)
        return f"{said[0].upper()}{said[1:]}."

    def _phrase(self, phrase: Phrase) -> str:
        """One thing that a profile states: what it is about, a colon, what is stated, details in brackets."""
        values = [*map(self.word, phrase.values)]
        said = self.verdict_wording.alternative.join(values) if phrase.either else self.listed(values)
        label = f"{self.word(phrase.label)}: " if phrase.label else ""
        details = f" ({', '.join(map(self.word, phrase.details))})" if phrase.details else ""
        return f"{label}{said}{details}"

    def clause(self, clause: AnyClause) -> str:
        """What a clause says, as one sentence with its limits."""
        return as_sentence([*map(self.say, clause_parts(clause))], [*map(self.say, clause_limits(clause))])


class _English:
    """The messages as they are."""

    language = "en"

    def one(self, text: str, /) -> str:
        return text

    def number(self, one: str, many: str, n: int, /) -> str:
        return one if n == 1 else many


ENGLISH: Final = Voice("en", _English())
"""Plain English."""
