"""Headings that ordinary spreadsheets have, in English, Welsh and Irish, by the field they mean.

The key and the heading of a field itself are known without a row here.

Common practice, no source. The meaning of a heading is only a suggestion; the person sees it and can change
it.
"""

from typing import Final

__all__ = ["HEADINGS", "NAME_WORDS"]

HEADINGS: Final[dict[str, tuple[str, ...]]] = {
    "entry": ("entry id", "concept", "concept id", "id"),
    "name_id": ("term id",),
    "name": ("term", "headword", "word", "label", "enw", "term cymraeg", "pennair", "ainm", "ceannfhocal"),
    "language": ("lang", "language tag", "iaith", "teanga"),
    "part_of_speech": ("pos", "word class", "rhan ymadrodd", "roinn cainte"),
    "gender": ("cenedl", "inscne"),
    "forms": ("inflections",),
    "pronunciation": ("ipa", "ynganiad", "fuaimniú"),
    "region": ("area", "dialect", "ardal", "tafodiaith", "ceantar", "canúint"),
    "printed": ("printed form",),
    "usage_note": ("usage", "note", "nodyn", "nóta"),
    "editor_note": (
        *("editors note", "editorial note", "notes", "remarks", "comments", "comment"),
        *("nodiadau", "sylwadau", "nótaí", "tráchtanna"),
    ),
    "topic": ("subject", "subject field", "domain", "pwnc", "ábhar"),
    "status": ("administrative status",),
    "type": ("term type",),
    "source": ("sources", "reference", "ffynhonnell", "ffynonellau", "foinse", "foinsí", "tagairt"),
    "date": ("year", "dyddiad", "blwyddyn", "dáta", "bliain"),
    "quotation": (
        *("quote", "citation", "context", "example", "dyfyniad", "enghraifft"),
        *("sliocht", "athfhriotal", "sampla"),
    ),
    "page": ("p.", "tudalen", "leathanach"),
    "slip_kind": ("kind of slip",),
}
"""Headings in lower case, by the key of the field."""

NAME_WORDS: Final = (
    *("name", "names", "term", "terms", "word", "words"),
    *("enw", "enwau", "gair", "geiriau", "ainm", "ainmneacha", "téarma", "téarmaí", "focal", "focail"),
)
"""Words that may appear beside the name of a language: `Irish names`, `Enw Cymraeg`."""
