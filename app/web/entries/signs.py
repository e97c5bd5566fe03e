"""Special characters of a language for typing, and modern spelling for old print."""

import unicodedata
from functools import lru_cache

from flask import Response, jsonify, request

from app.web.blueprints import entries as blueprint
from app.web.language import gettext as _
from app.web.language import interface_language
from termbase.errors import BadInput
from termbase.languages import tags
from termbase.languages.files import language
from termbase.languages.folding import modern_spelling, without_marks

__all__ = ["families", "signs_of"]

DAY = 86_400
LONGEST = 2000
_OF_SIGNS = {"⁊": "7", "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-"}
"""Signs without a base letter, and the key for each."""


@blueprint.get("/signs/<tag>")
def signs(tag: str) -> Response:
    """Return the characters of a language that a keyboard may lack, and the letter for each."""
    answer = jsonify(_told(tag, interface_language()))
    answer.cache_control.max_age = DAY
    answer.cache_control.private = True
    answer.vary.add("Cookie")
    return answer


@blueprint.get("/modern")
def modern() -> dict[str, str]:
    """Return a typed printed form in modern letters; empty if it is the same."""
    printed = unicodedata.normalize("NFC", request.args.get("printed", "")[:LONGEST])
    spelt = modern_spelling(printed)
    return {
        "modern": spelt if spelt != printed else "",
        "label": _("In modern letters"),
        "take": _("Use as the name"),
    }


def _told(tag: str, _interface: str) -> dict[str, object]:
    try:
        name = tags.display_name(tag, interface_language()) or tag
    except BadInput:
        return {"name": "", "signs": [], "families": {}}
    return {
        "name": _("Characters of %(language)s", language=name),
        "hint": _("Alt+. changes the letter before the cursor"),
        "signs": signs_of(tag),
        "families": families(tag),
    }


@lru_cache(maxsize=64)
def signs_of(tag: str) -> tuple[str, ...]:
    """Return the characters of a language that a keyboard may lack; none if the language is unknown or the
    tag is invalid."""
    try:
        return language(tag).palette
    except BadInput:
        return ()


@lru_cache(maxsize=64)
def families(tag: str) -> dict[str, list[str]]:
    """Return the characters for each key: `w` gives ŵ, `b` gives ḃ, `7` gives the Tironian et."""
    result: dict[str, list[str]] = {}
    for sign in signs_of(tag):
        both = (sign, sign.upper()) if len(sign) == 1 and len(sign.upper()) == 1 else (sign,)
        for each in both:
            key = _OF_SIGNS.get(each) or _letter_of(each)
            if key and key != each and each not in result.setdefault(key, []):
                result[key].append(each)
    return {key: turned for key, turned in result.items() if turned}


def _letter_of(sign: str) -> str:
    """The plain letter or figure that a sign begins with; empty where there is none."""
    lower = without_marks(unicodedata.normalize("NFKD", modern_spelling(sign)).lower())[:1]
    if not (lower.isascii() and lower.isalnum()):
        return ""
    return lower.upper() if sign[0].isupper() else lower
