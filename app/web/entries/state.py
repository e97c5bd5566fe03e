"""The state of the entry list, read from the address, so that every state has its own address."""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from urllib.parse import urlencode

from flask import url_for

from termbase.judging.verdict import VERDICT_WORDS
from termbase.record.entries import Origin, Topic
from termbase.store.entry_lists import STAGES

__all__ = ["ORDERS", "ListState", "state_of"]

ORDERS = ("", "down")
LONGEST = 200
MOST_PAGES = 100_000
_CLOSED = {
    "topic": tuple(t.value for t in Topic),
    "origin": tuple(o.value for o in Origin),
    "stage": STAGES,
    "verdict": VERDICT_WORDS,
    "order": ORDERS,
}


@dataclass(frozen=True)
class ListState:
    """The state of the list; empty fields do not filter.

    Attributes:
        lang: the language whose alphabet orders the list.
        q: the typed search text.
        since, until: EDTF dates between which a name is quoted.
        section: first letter of the heads.
        order: empty for the alphabet, `down` for its reverse.
        page: from 1.
    """

    lang: str
    q: str = ""
    topic: str = ""
    origin: str = ""
    stage: str = ""
    source: str = ""
    code: str = ""
    verdict: str = ""
    since: str = ""
    until: str = ""
    section: str = ""
    order: str = ""
    page: int = 1

    @property
    def conditions(self) -> bool:
        """Whether a filter other than the search text and the letter is set."""
        filters = (self.topic, self.origin, self.stage, self.source, self.code, self.verdict)
        return any((*filters, self.since, self.until))

    @property
    def narrowed(self) -> bool:
        """Whether the list is filtered."""
        filters = (self.q, self.topic, self.origin, self.stage, self.source, self.verdict, self.section)
        return any((*filters, self.since, self.until))

    def arguments(self, usual: str) -> dict[str, str]:
        """Return the arguments of its address without defaults (`usual` is the default language)."""
        held = {f.name: str(getattr(self, f.name)) for f in fields(self)}
        return {
            name: value
            for name, value in held.items()
            if value and not (name == "page" and value == "1") and not (name == "lang" and value == usual)
        }

    def address(self, usual: str, endpoint: str = "entries.index", **changes: str | int) -> str:
        """Return the address of this state with some changes; changing anything but the page leads to page
        1."""
        turned = changes if "page" in changes else {**changes, "page": 1}
        asked = urlencode(replace(self, **turned).arguments(usual))  # type: ignore[arg-type]
        return f"{url_for(endpoint)}?{asked}" if asked else url_for(endpoint)


def state_of(arguments: Mapping[str, str], languages: tuple[str, ...]) -> ListState:
    """Return the state for an address; unknown values are ignored."""
    given = {
        name: arguments.get(name, "").strip()[:LONGEST] for name in ("topic", "origin", "stage", "verdict")
    }
    checked = {name: value if value in _CLOSED[name] else "" for name, value in given.items()}
    page = arguments.get("page", "1")
    lang = arguments.get("lang", "")
    return ListState(
        lang=lang if lang in languages else languages[0],
        q=(arguments.get("q") or arguments.get("find") or "").strip()[:LONGEST],
        source=arguments.get("source", "")[:LONGEST],
        code=arguments.get("code", "")[:LONGEST],
        since=arguments.get("since", "").strip()[:LONGEST],
        until=arguments.get("until", "").strip()[:LONGEST],
        section=arguments.get("section", "")[:LONGEST],
        order="down" if arguments.get("order") == "down" else "",
        page=min(max(int(page), 1), MOST_PAGES) if page.isascii() and page.isdigit() and len(page) < 9 else 1,
        **checked,
    )
