"""The outputs. Each writes a data category as the type of a core element (DCA) or as a tag (DCT)."""

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
        name: its name in options.
        title: in words, with the version of the dialect.
        type: the dialect stated in the root element.
        style: the style stated in the root element.
        whole: whether it holds the whole record, each field in a tag or an attribute; if not, whatever has no
            data category is written in notes, in English.
    """

    name: DialectName
    title: str
    type: str
    style: Literal["dca", "dct"]
    whole: bool = False

    def start(self, category: str, *, target: str = "", language: str = "") -> str:
        """Return the start tag of a published data category.

        DCT allows no language, and no target unless its module has one; the text must then say the same. An
        `xref` takes no language in either style.
        """
        entry = CATEGORIES[category]
        if self.style == "dct":
            pointer = f' target="{target}"' if target and entry.tag_target else ""
            return f"<{entry.module}:{category}{pointer}>"
        pointer = f' target="{target}"' if target else ""
        tagged = "" if entry.element == "xref" else language_attribute(language)
        return f'<{entry.element} type="{category}"{tagged}{pointer}>'

    def end(self, category: str) -> str:
        """Return the end tag of a published data category."""
        entry = CATEGORIES[category]
        return f"</{entry.module}:{category}>" if self.style == "dct" else f"</{entry.element}>"

    def root(self, language: str) -> str:
        """Return the start tag of the root element."""
        spaces: dict[str, str] = {}
        if self.style == "dct":
            spaces.update(NAMESPACES.items())
        if self.whole:
            spaces[PREFIX] = MODULE_NAMESPACE
        tags = "".join(f' xmlns:{prefix}="{uri}"' for prefix, uri in spaces.items())
        return f'<tbx xmlns="{CORE}"{tags} xml:lang="{language}" type="{self.type}" style="{self.style}">'


AS_PRINTED: Final = "as printed for: "
"""How a TBX-Basic cross-reference from a printed form to its name begins."""
DIALECTS: Final[Mapping[DialectName, Style]] = MappingProxyType(
    {
        "basic-dca": Style("basic-dca", "TBX-Basic 1.2.1, DCA style", "TBX-Basic", "dca"),
        "basic-dct": Style("basic-dct", "TBX-Basic 1.2.1, DCT style", "TBX-Basic", "dct"),
        "wordhold": Style("wordhold", "TBX-Wordhold, DCT style", "TBX-Wordhold", "dct", whole=True),
    }
)
"""The outputs that can be written, by name."""
