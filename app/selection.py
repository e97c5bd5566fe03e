"""Convert what a person chose for an output into arguments of its writer (command line and web pages)."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from app.catalogues import spoken_language, voice_of
from exports.glossary.book.book import BOTH_WAYS, Selection
from exports.options import Folders, Option, OptionValues, texts_of
from exports.outputs import Output, object_named
from termbase.acts.rules import code_named
from termbase.errors import BadInput
from termbase.messages import message
from termbase.overviews.articles import Library
from termbase.overviews.conditions import EntryConditions, matching_ids
from termbase.record.entries import Origin
from termbase.rules.clauses import RuleCode
from termbase.store.entry_lists import EntryFilter, all_ids
from termbase.store.reading import Reader

__all__ = ["Order", "ready_ids", "selection_of"]


class Progress(Protocol):
    """Called with the number done and the total (0: unknown)."""

    def __call__(self, done: int, total: int = 0) -> None: ...


@dataclass(frozen=True)
class Order:
    """An output with everything that was chosen for it, validated.

    Attributes:
        output: the output.
        asked: the values given, by the names of the options.
        arguments: arguments of the writer, except the entries, the date and the progress.
    """

    output: Output
    asked: OptionValues
    arguments: Mapping[str, object]

    @property
    def counts_entries(self) -> bool:
        """Whether the writer reports how many entries are done, but not the total."""
        return any(option.goes == "ids" for option in self.output.options)

    @classmethod
    def of(cls, reader: Reader, output: Output, asked: OptionValues) -> "Order":
        """Convert the values given into the arguments of the writer.

        Raises:
            NotFound: the rule code or source does not exist.
            BadInput: a value is not valid.
        """
        arguments: dict[str, object] = {
            option.name: _argument(option, asked)
            for option in output.options
            if option.goes == "writer" and option.name in asked
        }
        if output.selects:
            arguments["selection"] = selection_of(reader, asked)
        if output.check:
            _called(output.check)(Library(reader), **arguments)
        return cls(output, asked, arguments)

    def ids(self, reader: Reader) -> list[str] | None:
        """Return the ids of the entries to write; None for all."""
        return ready_ids(reader) if self.counts_entries and self.asked.get("ready_only") else None

    def write(
        self, library: Library, path: Path, *, day: str, ids: Sequence[str] | None, on_progress: Progress
    ) -> object:
        """Write the output; return the writer's report.

        Args:
            library: the record.
            path: the file, or the folder if the output is a folder.
            day: today (ISO).
            ids: the entries to write; None for all.
            on_progress: called with the number done and, if known, the total.
        """
        given = {**self.arguments, **({"as_of": day} if self.output.dated else {})}
        given |= {} if ids is None else {"ids": ids}
        return _called(self.output.write)(library, path, **given, on_progress=on_progress)


def selection_of(reader: Reader, asked: OptionValues) -> Selection:
    """Return what goes into a publication.

    Raises:
        NotFound: the rule code or source does not exist.
        BadInput: the termbase does not have this vernacular, or a word is not in its list.
    """
    known = reader.termbase().vernaculars
    vernaculars = tuple(texts_of(asked, "vernaculars"))
    for tag in vernaculars:
        if tag not in known:
            raise BadInput(
                f"{tag!r} is not a vernacular of this termbase.",
                where="--vernacular",
                fix=f"Use one of: {', '.join(known)}.",
            )
    codes = tuple(code_named(reader, name).id for name in texts_of(asked, "codes"))
    parts = texts_of(asked, "directions")
    selection = Selection(
        codes=codes if "codes" in asked else None,
        drafts=not asked.get("ready_only", False),
        directions=tuple(part for part in BOTH_WAYS if part in parts) or BOTH_WAYS,
        vernaculars=vernaculars or None,
        figures=bool(asked.get("figures", True)),
        quotations=bool(asked.get("quotations", True)),
        mark_missing=bool(asked.get("mark_missing", False)),
        pictures=bool(asked.get("pictures", True)),
        voice=voice_of(str(asked.get("words") or spoken_language(reader.termbase().working_language))),
    )
    wanted = EntryConditions(
        topic=str(asked.get("topic", "")),
        origin=str(asked.get("origin", "")),
        source=str(asked.get("source", "")),
        code=codes[0] if codes else "",
        verdict=str(asked.get("verdict", "")),
    )
    return _narrowed(reader, selection, wanted)


def _narrowed(reader: Reader, selection: Selection, wanted: EntryConditions) -> Selection:
    """Return the selection with only the entries that meet the conditions, which the title page states in
    words.

    Raises:
        BadInput: a word is not in its list.
        NotFound: the source or rule code does not exist.
    """
    if replace(wanted, code="") == EntryConditions():  # a code alone narrows nothing
        return selection
    only = matching_ids(reader, wanted)
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


def ready_ids(reader: Reader) -> list[str]:
    """Return the ids of the entries whose readings are both signed, in order of creation."""
    ids = all_ids(reader, EntryFilter(stage="ready"), reader.termbase().working_language)
    return sorted(ids, key=lambda i: (len(i), i))


def _argument(option: Option, asked: OptionValues) -> object:
    value = asked[option.name]
    if isinstance(option, Folders) and isinstance(value, tuple):
        return tuple(map(Path, value))
    return value


def _called(name: str) -> Callable[..., object]:
    """Return the function with a name from the table of outputs."""
    result = object_named(name)
    if not callable(result):
        raise TypeError(f"{name} is not a function")
    function: Callable[..., object] = result
    return function
