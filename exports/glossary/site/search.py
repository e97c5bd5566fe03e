"""The data for the search in the browser: the names with their keys, and the language files.

The keys of names are those of `termbase.languages.keys`. A small script (`search.js`) analyses what is typed;
it undoes mutations and old spelling only by these rules. The tests compare it with `query_keys`.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping

import msgspec

from exports.glossary.site.outline import Outline
from termbase.languages.files import language
from termbase.languages.folding import one_spelling, without_marks
from termbase.languages.keys import KeyKind
from termbase.languages.mutations import rules
from termbase.languages.tags import parse, plural_category
from termbase.messages import message, message_of_number
from termbase.voice import ENGLISH, Voice

__all__ = ["find_data", "language_data", "script_of"]

Json = Mapping[str, object]

_FOLDED = ((0x20, 0x3000), (0xA700, 0xAC00), (0xFB00, 0xFB10), (0xFE00, 0x10000))
"""Ranges of characters whose folding is listed in full: the Latin, Greek and Cyrillic scripts, signs,
forms."""
_DOT = "\u0307"
_ET = ("⁊rl.", "⁊rl", "⁊c.", "⁊c")
_PYTHON_ONLY = {r"\b": r"(?:(?<![\p{L}\p{N}_])(?=[\p{L}\p{N}_])|(?<=[\p{L}\p{N}_])(?![\p{L}\p{N}_]))",
                r"\w": r"[\p{L}\p{N}_]", r"\W": r"[^\p{L}\p{N}_]", r"\-": "-", r"\'": "'"}  # fmt: skip

KINDS: dict[KeyKind, str] = {
    KeyKind.FORM: "",
    KeyKind.SPELLING: message("another spelling"),
    KeyKind.MUTATED: message("mutated form"),
    KeyKind.INFLECTED: message("inflected form"),
    KeyKind.OLD: message("old spelling"),
    KeyKind.OLD_LOOSE: message("old spelling"),
    KeyKind.MISREAD: message("misread letters"),
    KeyKind.WORD: message("one word of the name"),
}
"""How a name was found, as shown to the reader, in the order of `KeyKind.rank`."""

_SAYS = {
    "begins": message("begins like this"),
    "word": message("a word begins like this"),
    "near": message("near name"),
    "first": message("Showing the first %(n)s."),
    "nothing": message("Nothing similar was found. The lists have every name."),
}
MUTATIONS = (
    message("after article"),
    message("aspirate"),
    message("aspirate nonstandard"),
    message("breathed 3rd"),
    message("comparative s"),
    message("eclipsis"),
    message("eclipsis dialect"),
    message("eclipsis old"),
    message("elided proclitics"),
    message("h prothesis"),
    message("hard"),
    message("hard 4th"),
    message("lenition"),
    message("lenition after article"),
    message("mixed"),
    message("mixed 5th"),
    message("mixed after th 6th"),
    message("n prothesis"),
    message("nasal"),
    message("old and dialect"),
    message("soft"),
    message("soft 2nd"),
    message("spirant"),
    message("t prothesis"),
    message("verbal prothesis"),
)
"""Names of the mutations in the shipped language files; one from another file is shown unchanged."""
_SAMPLE = range(21)
"""Numbers that include one of every CLDR plural category of the interface languages."""


def script_of(name: str, value: object) -> bytes:
    """Return a script that sets a global to a value, which a page on a memory stick can load."""
    return f"globalThis.{name}=".encode() + msgspec.json.encode(value) + b";\n"


def find_data(outline: Outline, voice: Voice = ENGLISH) -> Json:
    """Return the names of the site: entries with their headwords, names with their keys, words for hits."""
    number = {entry_id: n for n, entry_id in enumerate(outline.entries)}
    tags = {tag: n for n, tag in enumerate(outline.languages)}
    return {
        "tags": outline.languages,
        "primary": [parse(tag).language for tag in outline.languages],
        "called": [voice.language_name(tag) for tag in outline.languages],
        "kinds": [voice.say(KINDS[kind]) for kind in KeyKind],
        "says": _says(voice),
        "entries": [
            [i, *(place.heads.get(tag, "") for tag in outline.languages)]
            for i, place in outline.entries.items()
        ],
        "names": [
            [
                number[n.entry_id],
                tags[tag],
                n.sign,
                n.text,
                "|".join(f"{rank}{text}" for text, rank in n.keys),
            ]
            for tag, sections in outline.sections.items()
            for section in sections
            for n in section.names
        ],
    }


def _says(voice: Voice) -> Json:
    """Return the words for hits; sentences with a number are templates by plural category."""
    numbers = {
        plural_category(n, voice.language): voice.template(
            message_of_number("%(n)s name.", "%(n)s names.", n)
        )
        for n in _SAMPLE
    }
    return {
        "language": voice.language,
        "numbers": numbers,
        **{key: voice.template(text) for key, text in _SAYS.items()},
    }


def language_data(tags: Iterable[str], voice: Voice = ENGLISH) -> Json:
    """Return the rules for analysing a query: folding for all, and one set of rules for each language."""
    wanted = dict.fromkeys(["und", *(parse(tag).language for tag in tags)])
    return {
        "fold": _folding(),
        "marks": _marks(),
        "languages": {tag: _rules(tag, voice) for tag in wanted},
    }


def _folding() -> dict[str, str]:
    """Return the characters, and letters with a dot above, that are replaced for comparison."""
    replaced: dict[str, str] = {}
    for first, last in _FOLDED:
        for code in range(first, last):
            character = chr(code)
            kind = unicodedata.category(character)
            if (
                kind[0] == "M"
                or kind in ("Cs", "Cn", "Co")
                or unicodedata.normalize("NFC", character) != character
            ):
                continue
            folded = one_spelling(f"a{character}a")[1:-1]
            if folded != character.lower():
                replaced[character] = folded
            if kind[0] == "L":
                dotted = unicodedata.normalize("NFC", character + _DOT)
                if len(dotted) > 1 and (one_letter := one_spelling(dotted)) != folded + _DOT:
                    replaced[dotted] = one_letter
    return replaced | {text: one_spelling(text) for text in _ET}


def _marks() -> dict[str, str]:
    """Return letters that become plain ones although they carry no removable mark."""
    replaced: dict[str, str] = {}
    for code in range(0xC0, 0x250):
        character = chr(code).lower()
        bare = "".join(c for c in unicodedata.normalize("NFD", character) if not unicodedata.combining(c))
        if (plain := without_marks(character)) != bare:
            replaced[character] = plain
    return replaced


def _rules(tag: str, voice: Voice) -> Json:
    file = language(tag)
    irregular: dict[str, list[str]] = {}
    for headword, forms in file.irregular.items():
        for form in forms:
            irregular.setdefault(one_spelling(form), []).append(one_spelling(headword))
    return {
        "and": file.and_word,
        "andSigns": file.and_signs if file.and_word else (),
        "spellings": [
            (rule.spelling_class, _pattern(pattern), _put(put))
            for rule in file.spellings
            for pattern, put in rule.replace
        ],
        "stems": [(_pattern(pattern), _put(put)) for pattern, put in file.stems],
        "misreadings": file.misreadings,
        "mutations": [
            (rule.radical, rule.mutated, _pattern(rule.environment.pattern) if rule.environment else "",
             voice.word(rule.mutation.replace("_", " ")), rule.change(),
             _rank(rule.status, rule.before_capital))
            for rule in rules(tag)
        ],
        "irregular": irregular,
    }  # fmt: skip


def _rank(status: str, before_capital: bool) -> int:
    # a query is compared in lower case, so a rule for letters before capitals is only a variant
    return max(("standard", "variant", "old").index(status), int(before_capital))


def _pattern(pattern: str) -> str:
    """Return a regular expression of a language file in the browser's syntax."""
    return re.sub(r"\\.", lambda match: _PYTHON_ONLY.get(match[0], match[0]), pattern)


def _put(replacement: str) -> str:
    """Return the replacement of a rule in the browser's syntax."""
    return re.sub(r"\\(?:g<)?(\d+)>?", r"$\1", replacement.replace("$", "$$"))
