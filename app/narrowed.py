"""What a publication is narrowed to: a topic, an origin, a source, a verdict; for both faces."""

from dataclasses import replace

from exports.glossary.print.choices import Selection
from termbase.acts.rules import code_named
from termbase.entries import Origin
from termbase.messages import message
from termbase.narrowing import Conditions, ids_within
from termbase.rulecodes import RuleCode
from termbase.store import Reader

__all__ = ["narrowed"]


def narrowed(reader: Reader, selection: Selection, wanted: Conditions) -> Selection:
    """The selection with only the entries that fulfil the conditions, and what they are for the title page.

    Raises:
        BadInput: a word is none of its list, or a date cannot be read.
        NotFound: there is no such source or rule code.
    """
    if replace(wanted, code="") == Conditions():  # a code alone narrows nothing
        return selection
    only = ids_within(reader, wanted)
    words = [message(wanted.topic)] if wanted.topic else []
    if wanted.origin:
        words.append(message(Origin(wanted.origin).alone))
    if wanted.source:
        words.append(message("quoted from %(source)s", source=wanted.source))
    if wanted.verdict:
        code = code_named(reader, wanted.code) if wanted.code else next(iter(reader.all(RuleCode)), None)
        verdict, name = message(wanted.verdict), code.name if code else ""
        words.append(message("%(verdict)s under %(code)s", verdict=verdict, code=name))
    return replace(selection, only=only, narrowed_to=tuple(words))
