"""Language tags: BCP 47 (RFC 5646), read and written in its canonical case, and named through CLDR.

A tag must be well formed; whether its subtags are registered is not asked, so that a language nobody has
registered yet (`xx`, `qaa`, `x-glan`) can be worked on.
"""

import re
from dataclasses import dataclass
from functools import lru_cache, partial

from babel import Locale, UnknownLocaleError

from termbase.errors import BadInput
from termbase.messages import Translator, message, message_by

__all__ = [
    "LanguageTag",
    "canonical",
    "display_name",
    "is_well_formed",
    "lookup_chain",
    "parse",
    "plural_category",
]


def _pairs(text: str) -> dict[str, str]:
    return dict(pair.split(":") for pair in text.split())


# What follows is of the IANA Language Subtag Registry (File-Date 2024-05-16), which the tests hold it to.

# Tags that are replaced whole by their preferred value (RFC 5646 4.5): `irregular` and `regular` of 2.1, as
# they are where they have none, and redundant ones that the rules below do not cover.
_WHOLE_TAGS = {
    "en-gb-oed": "en-GB-oxendict",
    "i-ami": "ami",
    "i-bnn": "bnn",
    "i-default": "i-default",
    "i-enochian": "i-enochian",
    "i-hak": "hak",
    "i-klingon": "tlh",
    "i-lux": "lb",
    "i-mingo": "i-mingo",
    "i-navajo": "nv",
    "i-pwn": "pwn",
    "i-tao": "tao",
    "i-tay": "tay",
    "i-tsu": "tsu",
    "sgn-be-fr": "sfb",
    "sgn-be-nl": "vgt",
    "sgn-ch-de": "sgg",
    "art-lojban": "jbo",
    "cel-gaulish": "cel-gaulish",
    "no-bok": "nb",
    "no-nyn": "nn",
    "zh-guoyu": "cmn",
    "zh-hakka": "hak",
    "zh-min": "zh-min",
    "zh-min-nan": "nan",
    "zh-xiang": "hsn",
}
_WHOLE_TAGS |= _pairs("""
    sgn-br:bzs sgn-co:csn sgn-de:gsg sgn-dk:dsl sgn-es:ssp sgn-fr:fsl sgn-gb:bfi sgn-gr:gss sgn-ie:isg
    sgn-it:ise sgn-jp:jsl sgn-mx:mfs sgn-ni:ncs sgn-nl:dse sgn-no:nsl sgn-pt:psr sgn-se:swl sgn-us:ase
    sgn-za:sfs""")
# Deprecated subtags and their preferred values.
_RENAMED_LANGUAGES = _pairs("""
    aam:aas adp:dz ajp:apc ajt:aeb asd:snz aue:ktz ayx:nun bgm:bcg bic:bir bjd:drl blg:iba ccq:rki cjr:mom
    cka:cmr cmk:xch coy:pij cqu:quh dit:dif drh:khk drr:kzk drw:prs gav:dev gfx:vaj ggn:gvr gli:kzk gti:nyc
    guv:duz hrr:jal ibi:opa ilw:gal in:id iw:he jeg:oyb ji:yi jw:jv kgc:tdf kgh:kml kgm:plu koj:kwv krm:bmf
    ktr:dtp kvs:gdj kwq:yam kxe:tvd kxl:kru kzj:dtp kzt:dtp lak:ksp lii:raq llo:ngt lmm:rmx meg:cir mo:ro
    mst:mry mwj:vaj myd:aog myt:mry nad:xny ncp:kdz nns:nbr nnx:ngv nom:cbr nts:pij nxu:bpp oun:vaj pat:kxr
    pcr:adx pmc:huw pmk:crr pmu:phr ppa:bfy ppr:lcq prp:gu pry:prt puz:pub sca:hle skk:oyb smd:kmb snb:iba
    szd:umi tdu:dtp thc:tpo thw:ola thx:oyb tie:ras tkk:twm tlw:weo tmk:tdg tmp:tyj tne:kak tnf:prs tpw:tpn
    tsf:taj uok:ema xba:cax xia:acn xkh:waw xrq:dmw xss:zko ybd:rki yma:lrr ymt:mtm yos:zom yuu:yug zir:scv
    zkb:kjh""")
_RENAMED_REGIONS = {"BU": "MM", "DD": "DE", "FX": "FR", "TP": "TL", "YD": "YE", "ZR": "CD"}
_RENAMED_VARIANTS = {"heploc": "alalc97"}
# Languages that take extended language subtags (RFC 5646 2.2.2); the canonical form drops them (4.5).
_EXTLANG_PREFIXES = frozenset({"ar", "kok", "lv", "ms", "sgn", "sw", "uz", "zh"})

_TAG = re.compile(
    r"(?P<language>[a-z]{2,3}(?P<extlang>(?:-[a-z]{3}(?![a-z0-9])){0,3})|[a-z]{4}|[a-z]{5,8})"
    r"(?:-(?P<script>[a-z]{4}))?"
    r"(?:-(?P<region>[a-z]{2}|[0-9]{3}))?"
    r"(?P<variants>(?:-(?:[a-z0-9]{5,8}|[0-9][a-z0-9]{3}))*)"
    r"(?P<extensions>(?:-[0-9a-wy-z](?:-[a-z0-9]{2,8})+)*)"
    r"(?P<private>(?:-x(?:-[a-z0-9]{1,8})+)?)"
)
_PRIVATE_TAG = re.compile(r"x(?:-[a-z0-9]{1,8})+")


@dataclass(frozen=True, slots=True)
class LanguageTag:
    """A tag in its parts, each in canonical case.

    Attributes:
        text: the canonical tag.
        language: primary language subtag; the whole tag where it is grandfathered or private.
        script: four letters (`Latg`) or empty.
        region: two letters or three digits, or empty.
        variants: in the order given.
        extensions: each with its singleton (`u-co-trad`), in alphabetical order.
        private: what follows `x-`, or empty.
    """

    text: str
    language: str
    script: str = ""
    region: str = ""
    variants: tuple[str, ...] = ()
    extensions: tuple[str, ...] = ()
    private: str = ""


def parse(tag: str) -> LanguageTag:
    """Take a tag apart.

    Raises:
        BadInput: the tag is not well formed, repeats a variant, or repeats an extension's singleton.
    """
    return _parse(tag.strip())


def canonical(tag: str) -> str:
    """The tag in canonical form: case by RFC 5646 2.1.1, deprecated codes and extlangs replaced (4.5).

    Raises:
        BadInput: the tag is not well formed.
    """
    return _parse(tag.strip()).text


def is_well_formed(tag: str) -> bool:
    """Whether `parse` takes the tag."""
    try:
        _parse(tag.strip())
    except BadInput:
        return False
    return True


def lookup_chain(tag: str) -> tuple[str, ...]:
    """The tag and ever shorter ones down to its language, the order of RFC 4647 3.4 (`ga-Latg`, `ga`).

    Raises:
        BadInput: the tag is not well formed.
    """
    pieces = canonical(tag).split("-")
    chain = []
    while pieces:
        chain.append("-".join(pieces))
        pieces.pop()
        if pieces and len(pieces[-1]) == 1 and pieces[-1] != "i":
            pieces.pop()
    return tuple(link for link in chain if is_well_formed(link))


@lru_cache(maxsize=4096)
def display_name(tag: str, in_language: str = "en") -> str:
    """The language's name in another language, by CLDR: `Irish (Gaelic)` for `ga-Latg` in English.

    A part CLDR cannot name in that language is named in English, and failing that by its own code.

    Raises:
        BadInput: either tag is not well formed.
    """
    parts = _parse(tag.strip())
    english = Locale("en")
    locale = _locale(in_language) or english
    name = locale.languages.get(parts.language) or english.languages.get(parts.language)
    if name is None:
        return parts.text
    details = []
    if parts.script:
        details.append(locale.scripts.get(parts.script) or english.scripts.get(parts.script) or parts.script)
    if parts.region:
        found = locale.territories.get(parts.region) or english.territories.get(parts.region)
        details.append(found or parts.region)
    details.extend(locale.variants.get(v.upper()) or v for v in parts.variants)
    if parts.private:
        details.append(parts.private)
    return f"{name} ({', '.join(details)})" if details else str(name)


def said_name(tag: str) -> str:
    """The language's name, which an interface translates.

    Raises:
        BadInput: the tag is not well formed.
    """
    return message_by(display_name(tag), partial(_named_by, tag))


def _named_by(tag: str, speaker: Translator) -> str:
    return display_name(tag, speaker.language)


def plural_category(number: float, tag: str) -> str:
    """The CLDR plural category of a number: zero, one, two, few, many or other; other where unknown.

    Raises:
        BadInput: the tag is not well formed.
    """
    locale = _locale(tag)
    return str(locale.plural_form(abs(number))) if locale else "other"


@lru_cache(maxsize=1024)
def _parse(tag: str) -> LanguageTag:
    lower = tag.lower()
    if lower in _WHOLE_TAGS:
        better = _WHOLE_TAGS[lower]
        return LanguageTag(better, better) if better.lower() == lower else _parse(better)
    if _PRIVATE_TAG.fullmatch(lower):
        return LanguageTag(lower, lower, private=lower[2:])
    found = _TAG.fullmatch(lower)
    if not found:
        raise BadInput(
            message("“%(tag)s” is not a language tag (BCP 47).", tag=tag),
            where=message("language"),
            fix=_advice(tag),
        )
    variants = tuple(found["variants"].split("-")[1:])
    extensions = tuple(sorted(re.findall(r"[0-9a-wy-z](?:-[a-z0-9]{2,8})+", found["extensions"])))
    _refuse_repeats(tag, message("variant"), variants)
    _refuse_repeats(tag, message("extension"), tuple(extension[0] for extension in extensions))
    language, _, extlang = found["language"].partition("-")
    if extlang:
        language = extlang if language in _EXTLANG_PREFIXES and "-" not in extlang else found["language"]
    language = _RENAMED_LANGUAGES.get(language, language)
    variants = tuple(dict.fromkeys(_RENAMED_VARIANTS.get(variant, variant) for variant in variants))
    script = (found["script"] or "").title()
    region = (found["region"] or "").upper()
    region = _RENAMED_REGIONS.get(region, region)
    private = found["private"][3:]
    pieces = (language, script, region, *variants, *extensions, f"x-{private}" if private else "")
    text = "-".join(piece for piece in pieces if piece)
    return LanguageTag(text, language, script, region, variants, extensions, private)


def _refuse_repeats(tag: str, what: str, subtags: tuple[str, ...]) -> None:
    for subtag in subtags:
        if subtags.count(subtag) > 1:
            raise BadInput(
                message("“%(tag)s” has the %(kind)s “%(part)s” twice.", tag=tag, kind=what, part=subtag),
                where=message("language"),
                fix=message("Keep one of the two."),
            )


def _advice(tag: str) -> str:
    if not tag:
        return message("Write a tag such as cy for Welsh or ga-Latg for Irish in Gaelic type.")
    if "_" in tag or " " in tag:
        return message("Join the parts with hyphens: cy-GB.")
    if re.fullmatch(r"[A-Za-z]-.*", tag):
        return message("Begin with a language of two or three letters; private tags begin with x-.")
    return message("Write language, then script, then region: cy, ga-Latg, en-GB.")


@lru_cache(maxsize=256)
def _locale(tag: str) -> Locale | None:
    """Babel's locale for the tag or for the nearest shorter one; None where CLDR has none."""
    for link in lookup_chain(tag):
        try:
            return Locale.parse(link, sep="-")
        except (UnknownLocaleError, ValueError):
            continue
    return None
