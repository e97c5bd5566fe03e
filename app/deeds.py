"""Acts of the history in every interface language, for the digest of the record."""

from collections.abc import Mapping
from functools import lru_cache

import msgspec

from app.catalogues import LANGUAGES, voice_of
from termbase.codes.wording import statement_text
from termbase.fields.notes import CodedText
from termbase.store.oldtexts.acts import act_column

__all__ = ["in_every_language"]


def in_every_language(act: Mapping[str, object]) -> Mapping[str, str]:
    """Return an act, given as its row in tables of any version, described in each interface language."""
    return _worded(str(act["what"]))


@lru_cache(maxsize=10_000)
def _worded(what: str) -> Mapping[str, str]:
    try:
        deed = statement_text(msgspec.json.decode(act_column(what), type=CodedText))
    except (ValueError, RecursionError):
        deed = what  # a damaged row is used as it is
    return {tag: voice_of(tag).say(deed) for tag in LANGUAGES}
