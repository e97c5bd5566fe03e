"""Sources formatted in a citation style (CSL), by citeproc-py with styles of the CSL project (see styles/).

Two faults of the processor are corrected here. CSL 1.0.2, cs:substitute: what replaces a missing name "is
considered empty" in the rest of the citation; without this, a report without an author shows its title
twice. The processor looks up the class of an element by name among the subclasses of its base class, so the
classes below replace its own.
"""

from collections.abc import Iterable, Iterator
from functools import lru_cache
from html import escape
from pathlib import Path
from typing import Final, Literal, Protocol, get_args

from citeproc import Citation, CitationItem, CitationStylesBibliography, CitationStylesStyle, formatter, model
from citeproc.model import CitationStylesElement
from citeproc.source.json import CiteProcJSON

from exports.citations.csl import csl_item
from termbase.record.sources import Source

__all__ = ["STYLES", "StyleName", "styled"]

StyleName = Literal["chicago", "harvard", "oxford"]

STYLES: Final[dict[StyleName, str]] = {
    "chicago": "Chicago Manual of Style, author and date",
    "harvard": "Harvard, author and date",
    "oxford": "New Hart's Rules (Oxford)",
}
"""The available styles, with their titles."""

_FILES: Final[dict[StyleName, str]] = {
    "chicago": "chicago-author-date.csl",
    "harvard": "harvard-cite-them-right.csl",
    "oxford": "new-harts-rules-the-oxford-style-guide.csl",
}
_FOLDER: Final = Path(__file__).parent / "styles"
_LOCALE: Final = "en-GB"
_ITALIC: Final = ("\ufdd0", "\ufdd1")  # noncharacters: no source contains them
_SHOWN: Final = "shown by a substitute"


class _Layout(Protocol):
    """What the processor stores for one citation: variables not shown again, by the tag of elements."""

    repressed: dict[str, list[str]]


class _Within(Protocol):
    """An element of a style."""

    def get_layout(self) -> _Layout: ...


class Text(model.Text, CitationStylesElement):  # type: ignore[misc] # the library ships no types
    """Text that records the variable it shows."""

    def _variable(self, item: object, context: _Within) -> object:
        shown = super()._variable(item, context)
        if shown is not None and (noted := context.get_layout().repressed.get(_SHOWN)) is not None:
            noted.append(f"{self.tag} {self.get('variable')}")
        return shown


class Names(model.Names, CitationStylesElement):  # type: ignore[misc]
    """Names that have not already replaced others."""

    def process(
        self, item: object, names_context: object = None, context: _Within | None = None, **more: object
    ) -> object:
        """Return the names, or nothing if they were already shown."""
        element: _Within = self if context is None else context
        if self.get("variable") in element.get_layout().repressed.get(self.tag, ()):
            return None
        return super().process(item, names_context, context, **more)


class Substitute(model.Substitute, CitationStylesElement):  # type: ignore[misc]
    """The replacement for missing names; it is not shown again."""

    def render(self, item: object, context: _Within | None = None, **more: object) -> object:
        """Return the first of the substitutes that has something to show."""
        element: _Within = self if context is None else context
        repressed = element.get_layout().repressed
        outer, repressed[_SHOWN] = repressed.get(_SHOWN), []
        rendered = super().render(item, context=context, **more)
        shown = repressed.pop(_SHOWN)
        if rendered:
            for tag, _, variable in (each.partition(" ") for each in shown):
                repressed.setdefault(tag, []).append(variable)
        if outer is not None:
            repressed[_SHOWN] = [*outer, *shown]
        return rendered


class _Marked:
    """Plain text in which italics are marked: the processor's own HTML does not escape every text."""

    preformat = Oblique = Bold = Light = Underline = Superscript = Subscript = SmallCaps = str

    @staticmethod
    def Italic(text: str) -> str:  # noqa: N802 - the processor's name for it
        return text.join(_ITALIC)


def styled(
    sources: Iterable[Source], style: StyleName, output: Literal["text", "html"] = "text"
) -> Iterator[tuple[str, str]]:
    """Yield each source formatted in a citation style, with the source's id, in the given order.

    Args:
        sources: the sources to format.
        style: one of `STYLES`.
        output: plain text, or HTML (escaped, with italics).
    """
    for source in sources:
        yield source.id, _shown(source, style, output)


def _shown(source: Source, style: StyleName, output: Literal["text", "html"]) -> str:
    item = csl_item(source)
    fields = {key: value for key, value in item.items() if key not in ("custom", "citation-label", "note")}
    bibliography = CitationStylesBibliography(
        _style(style), CiteProcJSON([fields]), formatter.plain if output == "text" else _Marked
    )
    bibliography.register(Citation([CitationItem(source.id.lower())]))
    shown = "".join(str(line) for line in bibliography.bibliography())
    if output == "text":
        return shown
    start, end = _ITALIC
    return escape(shown, quote=False).replace(start, "<i>").replace(end, "</i>")


@lru_cache(maxsize=len(get_args(StyleName)))
def _style(name: StyleName) -> CitationStylesStyle:
    return CitationStylesStyle(str(_FOLDER / _FILES[name]), locale=_LOCALE, validate=False)
