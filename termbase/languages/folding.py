"""Letters of old print brought to modern ones, and everything that is one for finding.

`clean` is for what people type; `modern_spelling` turns Gaelic type and the long s into modern letters
without loss (a transliteration that may be shown); the rest makes texts comparable and is never shown.

Sources: Unicode 15 (Latin Extended-D insular letters, U+1D79, U+204A, U+2E52; Latin Extended Additional
for the dotted consonants; UAX 15 for their composed and decomposed forms).
"""

import re
import unicodedata
from functools import lru_cache

__all__ = [
    "APOSTROPHES",
    "HYPHENS",
    "PARTING",
    "clean",
    "clean_sort_form",
    "modern_spelling",
    "one_spelling",
    "without_marks",
]

PARTING = "\u034f"
"""COMBINING GRAPHEME JOINER: parts two letters in a sort form (`n͏g` in Welsh *Bangor*), never in the text."""

APOSTROPHES = "'’‘ʼʻ′`´‛＇"
"""Characters printed or typed for an apostrophe; the first stands for all."""

HYPHENS = "-‐‑‒–—−﹣－"
"""Characters printed or typed for a hyphen; the first stands for all."""

_INVISIBLE = (
    "\u00ad\u180e\u200b\u200e\u200f\u2028\u2029\u202a\u202b\u202c\u202d\u202e\u2060\u2061\u2062\u2063\u2064"
)
_INVISIBLE += "\u2066\u2067\u2068\u2069\ufeff"
_JOINERS = "\u200c\u200d"
_STRIPPED = re.compile(f"[{_INVISIBLE}{_JOINERS}{PARTING}]")
_STRIPPED_KEEPING_PARTING = re.compile(f"[{_INVISIBLE}{_JOINERS}]")

_INSULAR = str.maketrans("ꝺꝹꝼꝻᵹꝽꞃꞂꞅꞄꞇꞆıɑⱭſ", "dDfFgGrRsStTiaAs")
_DOT = "\u0307"
_OLD_PRINT = re.compile("[ꝺꝹꝼꝻᵹꝽꞃꞂꞅꞄꞇꞆıɑⱭſẛ⁊⹒ḃḂċĊḋḊḟḞġĠṁṀṗṖṡṠṫṪṩṨṅṄṙṘ\u0307]")
# In decomposed text a mark below (a dot, U+0323) is between a letter and its dot above.
_DOTTED = re.compile("([bcdfgmpstBCDFGMPST])([\u0323\u0331]*)\u0307")
_IDLE_DOT = re.compile("(?<=[nrlNRL])\u0307")
_TIRONIAN_ABBREVIATIONS = (
    (re.compile("⁊rl\\b\\.?"), "srl."),
    (re.compile("⁊c\\b\\.?"), "agus rl."),
)
_MARKS = re.compile("[\u0300-\u036f\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff]+")
_SPACES = re.compile(r"\s+")
_ONE_SPELLING = str.maketrans(
    dict.fromkeys(APOSTROPHES, "'")
    | dict.fromkeys(HYPHENS, "-")
    | {"\u00a0": " ", "“": '"', "”": '"'}
    # Ligatures as one character, which text taken from a PDF has.
    | {"ﬀ": "ff", "ﬁ": "fi", "ﬂ": "fl", "ﬃ": "ffi", "ﬄ": "ffl", "ﬅ": "st", "ﬆ": "st"}
)
_WHOLE_LETTERS = str.maketrans({"æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ł": "l", "ħ": "h", "ŧ": "t"})


def clean(text: str) -> str:
    """The text as it is kept: NFC, without zero-width characters, soft hyphens and direction marks.

    Joiners stay after letters of scripts that need them (Arabic, Indic); everywhere else they only part
    letters that belong together.
    """
    if text.isascii():
        return text
    return unicodedata.normalize("NFC", _STRIPPED.sub(_keep_needed, text))


def clean_sort_form(text: str) -> str:
    """Like `clean`, for the sort form of a term: the parting character U+034F stays."""
    if text.isascii():
        return text
    return unicodedata.normalize("NFC", _STRIPPED_KEEPING_PARTING.sub(_keep_needed, text))


def modern_spelling(text: str) -> str:
    """Gaelic type and the long s in modern letters: dotted consonants, insular letters, Tironian et.

    Composed, decomposed and insular-with-dot forms give the same; everything else stays as it is. Applied
    twice it changes nothing more.
    """
    if text.isascii() or not _OLD_PRINT.search(text):
        return unicodedata.normalize("NFC", text)
    text = unicodedata.normalize("NFC", text)  # so that a letter with its dot is not a bare letter
    for pattern, full in _TIRONIAN_ABBREVIATIONS:
        text = pattern.sub(full, text)
    text = text.replace("⁊", "agus").replace("⹒", "Agus")
    text = unicodedata.normalize("NFD", text).translate(_INSULAR)
    text = _DOTTED.sub(_with_h, text)
    return unicodedata.normalize("NFC", _IDLE_DOT.sub("", text))


def one_spelling(text: str) -> str:
    """The text as compared: modern letters, lower case, one apostrophe, one hyphen, single spaces."""
    if text.isascii():
        return " ".join(text.lower().replace("`", "'").split())
    folded = modern_spelling(clean(text)).casefold().translate(_ONE_SPELLING)
    return _SPACES.sub(" ", unicodedata.normalize("NFC", folded)).strip()


def without_marks(text: str) -> str:
    """A lower-case text without marks on its letters, and with æ, œ and barred letters as plain ones."""
    if text.isascii():
        return text
    plain = _MARKS.sub("", unicodedata.normalize("NFD", text.translate(_WHOLE_LETTERS)))
    return unicodedata.normalize("NFC", plain)


def _with_h(found: re.Match[str]) -> str:
    letter, other_marks = found[1], found[2].replace("\u0323", "")
    if letter.islower():
        return f"{letter}{other_marks}h"
    text, end = found.string, found.end()
    after = _MARKS.sub("", text[end : end + 4])[:1]
    before = _MARKS.sub("", text[max(0, found.start() - 4) : found.start()])[-1:]
    all_capitals = after.isupper() or (before.isupper() and not after.islower())
    return f"{letter}{other_marks}{'H' if all_capitals else 'h'}"


def _keep_needed(found: re.Match[str]) -> str:
    if found[0] in _JOINERS and found.start() and _needs_joiners(found.string[found.start() - 1]):
        return found[0]
    return ""


@lru_cache(maxsize=512)
def _needs_joiners(character: str) -> bool:
    # From Hebrew on up to the Latin and Greek of U+1D00, every joining and Indic script; beyond the
    # Basic Multilingual Plane pictographs as well.
    return "\u0590" <= character <= "\u1cff" or character >= "\U00010a00" or character == "\ufe0f"
