"""What was asked for, made fit to look up."""

import re
from dataclasses import dataclass

from termbase.languages import tags
from termbase.languages.keys import Key, KeyKind, QueryKey, find_keys, query_keys
from termbase.store.keys import LONGEST_KEY

__all__ = ["Asked", "take"]

_ANY = "und"
_WORD_ENDS = re.compile("[ -]+")
_NO_TEXT = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")


@dataclass(frozen=True)
class Asked:
    """A query.

    Attributes:
        text: what was typed, cleaned.
        only: primary tag of the language asked for, empty for any.
        form: in lower case and modern letters.
        typed: the same, with the space after a word that is finished while somebody is typing.
        loose: without spaces, accents and signs: what near names and beginnings are compared with.
        keys: the texts to look for among stored keys, with how far each is from the form asked for.
    """

    text: str
    only: str
    form: str
    typed: str
    loose: str
    keys: dict[str, tuple[QueryKey, ...]]

    def words(self) -> tuple[str, ...]:
        """Its single words, without accents and signs; the whole where it is one."""
        parts = (find_keys(word, self.only or _ANY) for word in _WORD_ENDS.split(self.form))
        return tuple(_whole(keys) for keys in parts if keys) or (self.loose,)

    def meeting(self, text: str, language: str) -> QueryKey | None:
        """The nearest query key that may meet a stored key of this text in a language (primary tag)."""
        fitting = [key for key in self.keys.get(text, ()) if key.language in ("", language)]
        return min(fitting, key=lambda key: key.kind.rank, default=None)


def take(text: str, language: str | None = None) -> Asked | None:
    """Take a query; None where nothing is left of it that could be found.

    Half characters and control signs go, and all beyond the length of a key.

    Raises:
        BadInput: the tag is not well formed.
    """
    only = tags.parse(language).language if language else ""
    cleaned = _NO_TEXT.sub(" ", text[: 4 * LONGEST_KEY]).strip()[:LONGEST_KEY]
    keys = query_keys(cleaned, language) if cleaned else ()
    own = {key.kind: key.text[:LONGEST_KEY] for key in reversed(keys) if not key.language}
    if not own:
        return None
    by_text: dict[str, tuple[QueryKey, ...]] = {}
    for key in keys:
        short = key.text[:LONGEST_KEY]
        by_text[short] = (*by_text.get(short, ()), key)
    form = own[KeyKind.FORM]
    typed = f"{form} " if text[:LONGEST_KEY].endswith(" ") else form
    return Asked(cleaned, only, form, typed, own.get(KeyKind.SPELLING, form), by_text)


def _whole(keys: tuple[Key, ...]) -> str:
    spelling = next((key.text for key in keys if key.kind is KeyKind.SPELLING), keys[0].text)
    return spelling[:LONGEST_KEY]
