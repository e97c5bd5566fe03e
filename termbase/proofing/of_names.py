"""Checks of an entry's names against their slips: whether what is stated about a name is shown."""

from termbase.evidence.scales import IN_USE, NameScale
from termbase.messages import message, message_of_number
from termbase.overviews.articles import Article, Library
from termbase.proofing.findings import EntryFaults, quoted
from termbase.record.entries import Origin
from termbase.record.sources import SlipKind

__all__ = ["no_slip", "origin_contradicts", "origin_unstated", "slip_without_name", "use_unproved"]


def no_slip(article: Article, library: Library) -> EntryFaults:
    """A name that is recorded has no slip."""
    for term in article.entry.terms:
        if not article.slips[term.id] and term.origin in (Origin.IN_USE, Origin.WORD_LIST):
            yield (
                message("There is no slip for %(name)s.", name=quoted(term)),
                message("Add a quotation, or change the origin of the name."),
            )


def use_unproved(article: Article, library: Library) -> EntryFaults:
    """A name said to be in use has slips, but no witness of use."""
    for term in article.entry.terms:
        used = article.names[term.id].scale in IN_USE
        if term.origin is Origin.IN_USE and article.slips[term.id] and not used:
            yield (
                message("%(name)s is said to be in use, but no secure slip shows it.", name=quoted(term)),
                message("Find one, or change its origin to word-list."),
            )


def origin_contradicts(article: Article, library: Library) -> EntryFaults:
    """The origin of a name says one thing, its slips another."""
    for term in article.entry.terms:
        evidence, slips = article.names[term.id], article.slips[term.id]
        name = quoted(term)
        listed = any(s.kind is SlipKind.HEADWORD for s in slips)
        if term.origin is Origin.WORD_LIST and evidence.scale in IN_USE:
            yield (
                message_of_number(
                    "%(name)s is marked as found only in a word-list, but %(n)s witness of use is recorded.",
                    "%(name)s is marked as found only in a word-list, but %(n)s witnesses of "
                    "use are recorded.",
                    len(evidence.used),
                    name=name,
                ),
                message("Change its origin to in use. It is already published as in use."),
            )
        elif term.origin is Origin.WORD_LIST and slips and not listed:
            yield (
                message("%(name)s is marked as from a word-list, but no headword shows it.", name=name),
                message("Add the headword, or change its origin."),
            )
        elif term.origin in (Origin.REBUILT, Origin.COINED) and evidence.scale is not NameScale.NONE:
            yield (
                message(
                    "%(name)s is marked as %(origin)s, but it is recorded: %(evidence)s.",
                    name=name,
                    origin=message(term.origin.value),
                    evidence=evidence.words,
                ),
                message("Change its origin, or move the slips to the name that they quote."),
            )


def origin_unstated(article: Article, library: Library) -> EntryFaults:
    """The origin of a name is not stated."""
    for term in article.entry.terms:
        if term.origin is Origin.NOT_STATED:
            yield (
                message("The origin of %(name)s is not stated.", name=quoted(term)),
                message("State its origin."),
            )


def slip_without_name(article: Article, library: Library) -> EntryFaults:
    """A slip's quotation does not contain the name that it is sorted to."""
    for term in article.entry.terms:
        for slip in article.slips[term.id]:
            if slip.id in article.names[term.id].without_name:
                yield (
                    message("%(slip)s does not contain %(name)s.", slip=slip.id, name=quoted(term)),
                    message(
                        "On the slip, say how the name appears (ditto mark, broken, gap, "
                        "misprint), mark it as a description, or move it to another name."
                    ),
                )
