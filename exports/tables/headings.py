"""Headings that ordinary spreadsheets have, in English, Welsh and Irish, by the field they mean.

Common practice, no source. What a heading means is only an offer; the person sees it and can change it.
"""

from typing import Final

__all__ = ["HEADINGS", "NAME_WORDS"]

HEADINGS: Final[dict[str, tuple[str, ...]]] = {
    "entry": ("entry id", "concept", "concept id", "id"),
    "name_id": ("name id", "term id"),
    "name": ("term", "headword", "word", "label", "enw", "term cymraeg", "pennair", "ainm", "ceannfhocal"),
    "language": ("lang", "language tag", "iaith", "teanga"),
    "part_of_speech": ("pos", "word class", "rhan ymadrodd", "roinn cainte"),
    "gender": ("cenedl", "inscne"),
    "forms": ("inflected forms", "inflections"),
    "pronunciation": ("ipa", "ynganiad", "fuaimniú"),
    "region": ("area", "dialect", "ardal", "tafodiaith", "ceantar", "canúint"),
    "name_note": ("note on the name",),
    "printed": ("as printed", "printed form"),
    "printed_language": ("language as printed",),
    "sort_form": ("sort form",),
    "usage_note": ("usage note", "usage", "note", "nodyn", "nóta"),
    "editor_note": (
        *("editor's note", "editors note", "editorial note", "notes", "remarks", "comments", "comment"),
        *("nodiadau", "sylwadau", "nótaí", "tráchtanna"),
    ),
    "topic": ("subject", "subject field", "domain", "pwnc", "ábhar"),
    "status": ("administrative status",),
    "type": ("term type",),
    "source": ("source", "sources", "reference", "ffynhonnell", "ffynonellau", "foinse", "foinsí", "tagairt"),
    "date": ("date", "year", "dyddiad", "blwyddyn", "dáta", "bliain"),
    "quotation": (
        *("quotation", "quote", "citation", "context", "example", "dyfyniad", "enghraifft"),
        *("sliocht", "athfhriotal", "sampla"),
    ),
    "page": ("page", "p.", "tudalen", "leathanach"),
    "slip_kind": ("kind of quotation", "slip kind", "kind of slip"),
    "certainty": ("certainty of the quotation",),
}
"""Headings in small letters by the key of the field, besides the key itself."""

NAME_WORDS: Final = (
    *("name", "names", "term", "terms", "word", "words"),
    *("enw", "enwau", "gair", "geiriau", "ainm", "ainmneacha", "téarma", "téarmaí", "focal", "focail"),
)
"""Words that may stand beside the name of a language: `Irish names`, `Enw Cymraeg`."""
