"""Writes what comes before the entries: title, rights, and the mark that identifies our files."""

from typing import Final

from exports.tbx.context import WORDS_LANGUAGE, Context, is_english
from exports.tbx.xmltext import ESCAPE, language_attribute
from termbase.record.people import CAUTIONS

__all__ = ["LANGUAGES", "MARK", "header"]

MARK: Final = (
    "Written by Wordhold (notes, version 1). A note that begins with the name of a field and a colon, such "
    "as “Kind of quotation: use”, “Certainty: probable” or “Origin: word-list”, holds that field."
)
"""Our mark: if a header contains it, such notes are read back as the fields they hold. It must never be
changed; a new version gets an additional sentence."""
LANGUAGES: Final = "Languages, the working language first: "
_WHOLE: Final = (
    "ISO 30042:2019, dialect TBX-Wordhold, style DCT: core, modules min and basic, a private module. "
    f"A hexadecimal number between two {ESCAPE} signs is a character that XML cannot hold."
)


def header(context: Context) -> str:
    """Return everything before the first entry: declaration, root, header, and the start of the text."""
    termbase, escape, style = context.library.termbase, context.escape, context.style
    context.count_record("termbase", termbase)

    def of_type(kind: str, *values: str) -> str:
        return "".join(f'<p type="{kind}">{escape(value)}</p>\n' for value in values if value)

    title = escape(termbase.title)
    working, tag = termbase.working_language, context.working_language
    tagged = language_attribute(WORDS_LANGUAGE) if style.whole or not is_english(tag) else ""
    if style.whole:
        rights = of_type("licence", termbase.licence) + of_type("rights", termbase.rights)
        about = of_type("notice", termbase.notice)
        if tag != working:
            about += f'<p type="workingLanguage">{escape(working)}</p>\n'
        about += of_type("vernacular", *termbase.vernaculars)
        about += f"<p{tagged}>The whole record of a termbase.</p>\n"
        encoding = f"<p{tagged}>{_WHOLE}</p>\n"
    else:
        statements = (("Licence", termbase.licence), ("Rights", termbase.rights))
        rights = "".join(f"<p>{label}: {escape(value)}</p>\n" for label, value in statements if value)
        about = f"<p>{escape(termbase.notice)}</p>\n" if termbase.notice else ""
        languages = LANGUAGES + ", ".join((working, *termbase.vernaculars))
        about += f"<p{tagged}>{escape(languages)}</p>\n"
        encoding = f"<p{tagged}>ISO 30042:2019, {style.title}</p>\n<p{tagged}>{escape(MARK)}</p>\n"
    return "".join(
        (
            f'<?xml version="1.0" encoding="UTF-8"?>\n{style.root(tag)}\n<tbxHeader>\n<fileDesc>\n',
            f"<publicationStmt>\n{rights}</publicationStmt>\n" if rights else "",
            f"<titleStmt>\n<title>{title}</title>\n<note{tagged}>{escape(CAUTIONS)}</note>\n</titleStmt>\n",
            f"<sourceDesc>\n{about}</sourceDesc>\n</fileDesc>\n",
            f"<encodingDesc>\n{encoding}</encodingDesc>\n</tbxHeader>\n<text>\n",
        )
    )
