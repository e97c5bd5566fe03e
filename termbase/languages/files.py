"""Language files: what one may say, and how one is found for a tag.

README.md beside this module documents the format for those who write one; `checking.check_file` names what
is wrong with one.
"""

from collections.abc import Callable
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Literal, TypeVar

import msgspec

from termbase.errors import BadInput
from termbase.languages import tags
from termbase.messages import message
from termbase.tomlfiles import decode_toml, read_toml

__all__ = [
    "Inflection",
    "LanguageFile",
    "ListWords",
    "Mutation",
    "Order",
    "Respelling",
    "SpellingClass",
    "Status",
    "add_file",
    "language",
    "per_language",
    "read",
    "shipped_tags",
]

Status = Literal["standard", "variant", "old"]
SpellingClass = Literal["key", "key-aggressive"]

FORMAT = 1
_MOST_CACHED = 500

T = TypeVar("T")
_added: "dict[str, LanguageFile]" = {}
_forget: list[Callable[[], None]] = []


# Structs, not dataclasses: only they refuse keys that the format does not know.
class Order(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An order of letters.

    Attributes:
        letters: the letters in order, lower case, parted by spaces; a letter may have several characters.
        note: where the order comes from.
    """

    letters: str
    note: str = ""


class Mutation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A table of written initial mutations.

    Attributes:
        name: what grammars call it (`lenition`, `soft`).
        rules: `radical > mutated`, perhaps with `/ environment`, a regular expression on the radical word.
        native: its name in the language.
        status: in current use, a variant (dialect, optional, restricted), or old print.
        before_capital: its standard use is before a capital only (`nAontas`).
        exceptions: what the table does not say, in words.
        note: remarks and sources.
    """

    name: str
    rules: tuple[str, ...]
    native: str = ""
    status: Status = "standard"
    before_capital: bool = False
    exceptions: tuple[str, ...] = ()
    note: str = ""


class Respelling(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A rule of spelling that makes keys and nothing else: it finds, it never corrects.

    Attributes:
        id: short name within the file.
        rule: the rule in words.
        replace: pairs of regular expression and replacement, applied in order to a lower-case text.
        spelling_class: `key`, or `key-aggressive` where it merges many different modern words.
        examples: `old > modern`, each of which the rules together must bring to one key.
        source: where the rule is stated.
        note: dangers and remarks.
    """

    id: str
    rule: str
    replace: tuple[tuple[str, str], ...]
    spelling_class: SpellingClass = msgspec.field(name="class", default="key")
    examples: tuple[str, ...] = ()
    source: str = ""
    note: str = ""


class Inflection(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """An inflected form that terms of the language may have: its English label and its own name."""

    label: str
    native: str = ""


class ListWords(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What word-lists print when they label their words in this language, for line patterns.

    Attributes:
        part_of_speech: meaning in English by the abbreviation as printed; a gender or number may follow after
            a comma (`noun, masculine`).
        gender, number, forms: the same for genders, numbers, and labels of inflected forms.
        see: words before a cross-reference.
        or_words: words between two spellings of a name, such as English *or*.
        note: where they come from.
    """

    part_of_speech: dict[str, str] = {}
    gender: dict[str, str] = {}
    number: dict[str, str] = {}
    forms: dict[str, str] = {}
    see: tuple[str, ...] = ()
    or_words: tuple[str, ...] = ()
    note: str = ""


class LanguageFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All that the program knows about one language.

    Attributes:
        format: version of the format, 1.
        tag: BCP 47 tag; `und` for the file used where no other fits.
        name: the language's own name.
        alphabet: the order of its letters.
        orders: other orders a termbase may choose, by name.
        vowels: its vowel letters with and without accents; `V` in mutation rules stands for them.
        mutations: tables of initial mutations.
        irregular: headword to forms no rule explains.
        spellings: respellings for finding old print.
        stems: pairs of regular expression and replacement that take inflection off a word.
        misreadings: what readers of old print take for each other, first taken for second.
        and_word: the word an ampersand stands for; empty to leave it alone.
        and_signs: signs for that word where it is alone; some print a 7 for the Tironian et.
        inflections: labels of inflected forms.
        word_lists: the labels of word-lists printed in it.
        palette: characters to offer when typing.
        sources: what the file was made from.
    """

    format: int
    tag: str
    name: str
    alphabet: Order
    orders: dict[str, Order] = {}
    vowels: str = "aeiou"
    mutations: tuple[Mutation, ...] = ()
    irregular: dict[str, tuple[str, ...]] = {}
    spellings: tuple[Respelling, ...] = ()
    stems: tuple[tuple[str, str], ...] = ()
    misreadings: tuple[tuple[str, str], ...] = ()
    and_word: str = ""
    and_signs: tuple[str, ...] = ("&",)
    inflections: tuple[Inflection, ...] = ()
    word_lists: ListWords = ListWords()
    palette: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


def read(data: bytes, where: str) -> LanguageFile:
    """Read a language file's bytes.

    Raises:
        BadInput: not TOML, or a key missing, unknown or of the wrong type; `where` names the file.
    """
    try:
        file = msgspec.convert(read_toml(decode_toml(data, where), where), LanguageFile)
    except msgspec.ValidationError as problem:
        raise BadInput(
            message("Not a language file: %(problem)s.", problem=str(problem)),
            where=where,
            fix=message("See termbase/languages/README.md."),
        ) from problem
    if file.format != FORMAT:
        raise BadInput(
            message("The language file has format %(format)s.", format=file.format),
            where=where,
            fix=message("This version reads format %(format)s.", format=FORMAT),
        )
    return file


def add_file(path: Path) -> LanguageFile:
    """Use a language file of one's own from now on, in place of the shipped one of the same tag.

    Raises:
        BadInput: the file cannot be read as one; run `checking.check_file` first for every mistake in it.
    """
    file = read(path.read_bytes(), str(path))
    _added[tags.canonical(file.tag)] = file
    for forget in _forget:
        forget()
    return file


def per_language(build: Callable[[LanguageFile], T]) -> Callable[[str], T]:
    """Turn what is made from a language's file into a cached function of the tag.

    The cache is emptied when a file is added.
    """
    cache: dict[str, T] = {}
    _forget.append(cache.clear)

    def made_for(tag: str) -> T:
        if tag not in cache:
            if len(cache) >= _MOST_CACHED:
                cache.clear()  # tags come from outside too, in any number
            cache[tag] = build(language(tag))
        return cache[tag]

    return made_for


def language(tag: str) -> LanguageFile:
    """The file for a tag or for the nearest shorter one (`ga-Latg` uses `ga`); else the default one.

    Raises:
        BadInput: the tag is not well formed.
    """
    for link in tags.lookup_chain(tag):
        if link in _added:
            return _added[link]
        if link in shipped_tags():
            return _shipped(link)
    return _added.get("und") or _shipped("default")


@lru_cache(maxsize=1)
def shipped_tags() -> tuple[str, ...]:
    """Tags of the languages whose files are shipped, in alphabetical order, without the default."""
    names = (entry.name for entry in resources.files(__package__).iterdir())
    return tuple(
        sorted(
            name.removesuffix(".toml") for name in names if name.endswith(".toml") and name != "default.toml"
        )
    )


@lru_cache(maxsize=64)
def _shipped(name: str) -> LanguageFile:
    entry = resources.files(__package__) / f"{name}.toml"
    return read(entry.read_bytes(), entry.name)
