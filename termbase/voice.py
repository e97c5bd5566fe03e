"""Translating the program's texts into one language: messages, dates, verdicts, techniques and clauses. An
interface creates a voice from a catalogue; screens and publications use it.
"""

from collections.abc import Sequence
from functools import cached_property
from typing import Final

from babel.lists import format_list

from termbase.dates.edtf import parse, readable
from termbase.dates.wording import ENGLISH as ENGLISH_DATES
from termbase.dates.wording import DateWords, date_words
from termbase.judging.wording import ENGLISH as ENGLISH_VERDICTS
from termbase.judging.wording import Wording
from termbase.languages.tags import display_name
from termbase.messages import Message, Translator, message, translate
from termbase.rules.clauses import AnyClause
from termbase.rules.sentences import as_sentence, clause_limits, clause_parts
from termbase.technique.phrases import Phrase, phrases_of
from termbase.technique.profile import Profile
from termbase.technique.words import ATTRIBUTES, describe

__all__ = ["ENGLISH", "Voice"]


class Voice:
    """Translates the program's own texts into one language; texts of the record are unchanged.

    Attributes:
        language: BCP 47 tag of the language.
        speaker: the catalogue.
    """

    def __init__(self, language: str, speaker: Translator) -> None:
        self.language = language
        self.speaker = speaker
        self._dates: dict[str, str] = {}

    def say(self, text: str) -> str:
        """Translate a message to a plain text; return any other text unchanged."""
        return str(translate(text, self.speaker))

    def template(self, text: str) -> str:
        """Return the translation of a template with its `%(name)s` left in."""
        if not isinstance(text, Message):
            return text
        if text.many:
            n = text.values["n"]
            return self.speaker.number(text.template, text.many, n if isinstance(n, int) else 0)
        return self.speaker.one(text.template)

    def word(self, word: str) -> str:
        """Translate a word from a closed list or any text in the catalogue; unknown ones are unchanged."""
        return str(self.speaker.one(word)) if word else ""  # the empty text is the header of a catalogue

    def listed(self, texts: Sequence[str]) -> str:
        """Join texts as a list in a sentence, as CLDR does: `a, b, and c`; in Welsh with commas only.

        CLDR has `a(c)` there, since *a* becomes *ac* before a vowel and mutates what follows it.
        """
        return ", ".join(texts) if self.language == "cy" else format_list(texts, locale=self.language)

    def language_name(self, tag: str) -> str:
        """Return the name of a language.

        Raises:
            BadInput: the tag is not well formed.
        """
        return display_name(tag, self.language)

    def date(self, edtf: str) -> str:
        """Return an EDTF date in words; empty for none.

        Raises:
            BadInput: it is not a date.
        """
        if edtf and edtf not in self._dates:
            self._dates[edtf] = readable(parse(edtf), self.date_words)
        return self._dates.get(edtf, "")

    @cached_property
    def date_words(self) -> DateWords:
        """The words for dates."""
        if self.language == "en":
            return ENGLISH_DATES
        return date_words(self.speaker)

    @cached_property
    def verdict_wording(self) -> Wording:
        """The words for verdicts and their reasons."""
        if self.language == "en":
            return ENGLISH_VERDICTS
        values = {value: self.word(value) for attribute in ATTRIBUTES for value in attribute.values}
        # the side agrees with the gender of the word for hand
        hands = {"right": self.word("right (of a hand)"), "left": self.word("left (of a hand)")}
        return Wording(
            {key: self.word(template) for key, template in ENGLISH_VERDICTS.templates.items()},
            values | hands | {word: self.word(phrase) for word, phrase in ENGLISH_VERDICTS.words.items()},
            {place: self.word(phrase) for place, phrase in ENGLISH_VERDICTS.places.items()},
            alternative=self.say(message(" or ")),
            conjunction=self.say(message(" and ")),
        )

    def profile(self, profile: Profile) -> str:
        """Return what a profile states, in one line: a sentence in English, labelled phrases in other
        languages.

        A sentence cannot be assembled from parts in a language whose words mutate next to each other.
        """
        if self.language == "en":
            return describe(profile)
        stated = [self._phrase(phrase) for phrase in phrases_of(profile)]
        if not stated:
            return self.say(message("How it is done is not stated."))
        text = "; ".join(stated)
        return f"{text[0].upper()}{text[1:]}."

    def _phrase(self, phrase: Phrase) -> str:
        """Return one statement of a profile: subject, colon, value, details in brackets."""
        values = [*map(self.word, phrase.values)]
        values_text = self.verdict_wording.alternative.join(values) if phrase.either else self.listed(values)
        label = f"{self.word(phrase.label)}: " if phrase.label else ""
        details = f" ({', '.join(map(self.word, phrase.details))})" if phrase.details else ""
        return f"{label}{values_text}{details}"

    def clause(self, clause: AnyClause) -> str:
        """Return a clause as one sentence with its limits."""
        return as_sentence([*map(self.say, clause_parts(clause))], [*map(self.say, clause_limits(clause))])


class _English:
    """Returns messages unchanged."""

    language = "en"

    def one(self, text: str, /) -> str:
        return text

    def number(self, one: str, many: str, n: int, /) -> str:
        return one if n == 1 else many


ENGLISH: Final = Voice("en", _English())
"""Plain English."""
