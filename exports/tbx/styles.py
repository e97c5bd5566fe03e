"""The outputs, and how each writes a data category: as type of a core element (DCA), or as a tag (DCT)."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from exports.tbx.categories import CATEGORIES, CORE, MODULE_NAMESPACE, NAMESPACES, PREFIX
from exports.tbx.xmltext import language_attribute

__all__ = ["AS_PRINTED", "DIALECTS", "DialectName", "Style"]

DialectName = Literal["basic-dca", "basic-dct", "wordhold"]


@dataclass(frozen=True, slots=True)
class Style:
    """A dialect in one of its styles.

    Attributes:
        name: as asked for.
        title: in words, with the version of the dialect.
        type: what the root element says of the dialect.
        style: what it says of the style.
        whole: it holds the whole record, each field in a tag or an attribute; else what has no data category
            is told in notes, in English.
    """

    name: DialectName
    title: str
    type: str
    style: Literal["dca", "dct"]
    whole: bool = False

    def start(self, category: str, *, target: str = "", language: str = "") -> str:
        """The start tag of a published data category.

        DCT takes no language, and no target unless its module allows one; what they say must then stand in
        the text as well. An `xref` takes no language in either style.
        """
        entry = CATEGORIES[category]
        if self.style == "dct":
            pointer = f' target="{target}"' if target and entry.tag_target else ""
            return f"<{entry.module}:{category}{pointer}>"
        pointer = f' target="{target}"' if target else ""
        spoken = "" if entry.element == "xref" else language_attribute(language)
        return f'<{entry.element} type="{category}"{spoken}{pointer}>'

    def end(self, category: str) -> str:
        """The end tag of a published data category."""
        entry = CATEGORIES[category]
        return f"</{entry.module}:{category}>" if self.style == "dct" else f"</{entry.element}>"

    def root(self, language: str) -> str:
        """The start tag of the root element."""
        spaces: dict[str, str] = {}
        if self.style == "dct":
            spaces.update(NAMESPACES.items())
        if self.whole:
            spaces[PREFIX] = MODULE_NAMESPACE
        tags = "".join(f' xmlns:{prefix}="{uri}"' for prefix, uri in spaces.items())
        return f'<tbx xmlns="{CORE}"{tags} xml:lang="{language}" type="{self.type}" style="{self.style}">'


AS_PRINTED: Final = "as printed for: "
"""What a cross-reference of TBX-Basic begins with that leads from a form as printed to its name."""
DIALECTS: Final[Mapping[DialectName, Style]] = MappingProxyType(
    {
        "basic-dca": Style("basic-dca", "TBX-Basic 1.2.1, DCA style", "TBX-Basic", "dca"),
        "basic-dct": Style("basic-dct", "TBX-Basic 1.2.1, DCT style", "TBX-Basic", "dct"),
        "wordhold": Style("wordhold", "TBX-Wordhold, DCT style", "TBX-Wordhold", "dct", whole=True),
    }
)
"""What can be written, by name."""
