"""Finding which fields of the marked termbase appear in an output."""

import base64
import re
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import update

from exports.glossary.book.pictures import scaled
from termbase.overviews.articles import Library
from termbase.record.field_paths import FieldPath
from termbase.record.people import Image
from termbase.store.engine import Store
from termbase.store.rows import KINDS
from termbase.store.writing import Act
from tests.marks.filling import Filled, emptied_for, filled
from tests.marks.outputs import Output, text_of

__all__ = ["Bench"]

_WORD = re.compile(r"(?<![0-9a-z])(?:[0-9a-f]{16}|[a-z]?[0-9]{4,5}|qz[b-w]{3}x)(?![0-9])")


class _Enough(Exception):
    """Aborts an act, so that nothing is stored."""


class Bench:
    """An empty termbase, filled again for each output and each choice."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.base = filled()
        self.store = Store.create(str(folder / "marked.sqlite"), self.base.termbase, by="Nia")
        self._as_it_is: dict[tuple[str, tuple[str, ...]], bytes] = {}

    @contextmanager
    def library(self, records: Filled) -> Iterator[Library]:
        """A temporary termbase with these records."""
        try:
            with self.store.act("Nia", "filled it") as act:
                self._fill(act, records)
                yield Library(act)
                raise _Enough
        except _Enough:
            pass

    def _fill(self, act: Act, records: Filled) -> None:
        mapped = KINDS["termbase"]
        act.connection.execute(update(mapped.table).values(mapped.to_row(records.termbase)))
        records.write(act)
        act.flush()

    def content(self, output: Output, empty: tuple[str, ...] = ()) -> bytes:
        """Return the output of the record with the first value of each choice."""
        if (output.name, empty) not in self._as_it_is:
            with self.library(filled(empty=empty)) as library:
                self._as_it_is[output.name, empty] = output.write(library, self.folder)
        return self._as_it_is[output.name, empty]

    def found(self, output: Output) -> set[FieldPath]:
        """Return the fields whose mark appears in the output."""
        content = self.content(output)
        words = set(_WORD.findall(text_of(content)))
        fields = {path for path, marks in self.base.marks.items() if any(_sign(m) in words for m in marks)}
        if any(data in content for image in self.base.images for data in _looks(image)):
            fields.add(DATA)
        return fields

    @property
    def fields(self) -> set[FieldPath]:
        """All fields that outputs are searched for."""
        return {*self.base.marks, DATA}

    def emptied(self, output: Output, choices: Collection[FieldPath]) -> tuple[str, ...]:
        """Return the fields that are left empty while these choices are tested in an output."""
        return () if output.judged else next((emptied_for(path) for path in choices), ())

    def differing(self, outputs: Collection[Output], choices: Collection[FieldPath]) -> set[str]:
        """Return the names of the outputs that differ when these choices have their other value."""
        names = set()
        for empty in {self.emptied(output, choices) for output in outputs}:
            group = [output for output in outputs if self.emptied(output, choices) == empty]
            unchanged = {output.name: self.content(output, empty) for output in group}
            with self.library(filled(choices, empty)) as library:
                names |= {o.name for o in group if o.write(library, self.folder) != unchanged[o.name]}
        return names


DATA = FieldPath(((Image, "data"),))


def _looks(image: Image) -> tuple[bytes, ...]:
    """Return a picture's bytes in the forms that outputs use: unchanged, as Base64, as a JPEG for readers."""
    return image.data, base64.b64encode(image.data), scaled(image)


def _sign(mark: str) -> str:
    """Return the text to search for: the mark, or the year of a day."""
    return mark[:4] if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", mark) else mark
