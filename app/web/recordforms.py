"""Fills a form from a record and reads a record from a form, using the declared fields.

    SOURCE = RecordForm(Source, without={"pattern": "It has its own page."})
    SOURCE.filled(source)                        # the values of the form
    SOURCE.read(form, source, problems)          # the source that the form describes

The template decides where a field is on the page; a test fails if one of these fields has no input.
A view passes the values that it reads itself (`own`).
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Generic, TypeVar

from app.web.forms import Form
from app.web.language import gettext as _
from termbase.errors import BadInput, Problems, WordholdError
from termbase.fields.closed_lists import none_of_these
from termbase.fields.declarations import (
    VERSION,
    Block,
    Count,
    Data,
    DeclaredField,
    Flag,
    Id,
    Items,
    Lines,
    Member,
    Members,
    Nested,
    Path,
    Statement,
    Verbatim,
    changed_by,
    fields_of,
)

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

__all__ = ["RecordForm"]

Record = TypeVar("Record", bound="DataclassInstance")
_NO_INPUT = (Id, Items, Nested, Statement, Data)
"""Kinds of fields without an input: ids come from the store, nested records have their own forms."""


@dataclass(frozen=True)
class RecordForm(Generic[Record]):
    """The form of a record type, or of some of its fields.

    Attributes:
        record: the class of the record.
        only: the fields in the form; all of them if empty.
        also: fields that the view itself shows and reads, since their kind of input is unknown here.
        without: the fields that are not in the form, with the reason.
        names: input names by field, where they differ from the field's own name.
        beside: inputs that show a field's error instead of its own input.
        unsaid: the error and its fix if nothing is chosen from a closed list.
        between: the separator of a list, if it is not a comma.
    """

    record: type[Record]
    only: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    without: Mapping[str, str] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)
    beside: Mapping[str, str] = field(default_factory=dict)
    unsaid: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    between: Mapping[str, str] = field(default_factory=dict)

    @property
    def fields(self) -> tuple[DeclaredField, ...]:
        """The fields that have an input in the form, in order."""
        wanted = (d for d in fields_of(self.record) if d.name not in self.without)
        if self.only:
            return tuple(declared for declared in wanted if declared.name in self.only)
        return tuple(declared for declared in wanted if _has_input(declared) or declared.name in self.also)

    def name(self, of: str) -> str:
        """Return the name of a field in the form."""
        return self.names.get(of, of)

    def filled(self, record: Record) -> dict[str, object]:
        """Return the form values of a record, by form name."""
        return {
            self.name(declared.name): self._shown(declared, getattr(record, declared.name))
            for declared in self.fields
        }

    def filled_rows(self, records: tuple[Record, ...]) -> dict[str, object]:
        """Return the values of a form with one row per record."""
        return {
            self.name(declared.name): tuple(
                "".join(self._shown(declared, getattr(r, declared.name))) for r in records
            )
            for declared in self.fields
        }

    def read(
        self, form: Form, before: Record, problems: Problems, own: Mapping[str, object] | None = None
    ) -> Record:
        """Return the record that a form describes.

        Args:
            form: the submitted form; fields it does not have at all stay as they are.
            before: the current record.
            problems: collects the errors; a field with an error stays as it is.
            own: values of fields that the view itself has read.
        """
        values = dict(own or {})
        for declared in self.fields:
            if declared.name not in values:
                now: object = getattr(before, declared.name)
                values[declared.name] = problems.value(now, self._read, declared, form, now)
        return changed_by(before, values)

    def read_rows(self, form: Form, blank: Record, like: str) -> Iterator[Record]:
        """Yield the records of a form with one row each.

        Args:
            form: the submitted form.
            blank: an empty record.
            like: a field that every row has; others may have fewer values.

        Raises:
            BadInput: a row has an invalid value.
        """
        for n in range(len(form.all(self.name(like)))):
            row = Form(
                {
                    self.name(declared.name): (form.nth(self.name(declared.name), n),)
                    for declared in self.fields
                }
            )
            yield changed_by(
                blank,
                {
                    declared.name: self._read(declared, row, getattr(blank, declared.name))
                    for declared in self.fields
                },
            )

    def refused(
        self, form: Form, error: WordholdError, at: Mapping[str, str] | None = None, under: Path = ()
    ) -> Form:
        """Return the form with errors beside its fields.

        Args:
            form: the submitted form.
            error: the error; its `path` says which field.
            at: names of fields by `where`, for errors that have no path.
            under: the path of this form's record within the whole record.
        """
        called = {declared.name: self.name(declared.name) for declared in self.fields}
        return form.refused(error, at, under=under, called=called | dict(self.beside))

    def _shown(self, declared: DeclaredField, value: object) -> tuple[str, ...]:
        if value is None:
            return ("",)
        if isinstance(declared.is_a, Flag):
            return ("yes",) if value else ()
        if isinstance(value, tuple):
            texts = tuple(str(part) for part in value)
            return texts if isinstance(declared.is_a, Members) else (self._between(declared).join(texts),)
        return (str(value),)

    def _between(self, declared: DeclaredField) -> str:
        languages = isinstance(declared.is_a, Lines) and declared.is_a.language
        return self.between.get(declared.name, " " if languages else ", ")

    def _read(self, declared: DeclaredField, form: Form, now: object) -> object:
        """Return the value of a field in a form.

        Raises:
            BadInput: the value is invalid.
        """
        name, kind = self.name(declared.name), declared.is_a
        if isinstance(kind, Flag):
            return bool(form.line(name))
        if isinstance(kind, Members):
            chosen = tuple(_chosen(declared, text, name) for text in form.all(name))
            return tuple(word for word in declared.words if word in chosen)
        if kind is VERSION:
            return form.number(name)
        if name not in form.texts and declared.name not in self.unsaid:
            return now
        if isinstance(kind, Member):
            return self._member(declared, form.line(name))
        if isinstance(kind, Count):
            return form.number(name) if form.line(name) or not declared.optional else None
        if isinstance(kind, Lines):
            return tuple(filter(None, (text.strip() for text in self._parts(declared, form.text(name)))))
        return form.text(name) if isinstance(kind, Block | Verbatim) else form.line(name)

    def _member(self, declared: DeclaredField, text: str) -> str | None:
        name = self.name(declared.name)
        if text or text in declared.words:
            return _chosen(declared, text, name)
        if declared.optional:
            return None
        what, fix = self.unsaid.get(declared.name) or (
            _("Nothing has been chosen."), _("Choose one from the list.")
        )  # fmt: skip
        raise BadInput(what, where=name, fix=fix)

    def _parts(self, declared: DeclaredField, text: str) -> list[str]:
        between = self._between(declared)
        if between == "\n":
            return text.split("\n")
        return re.split(r"[\s,;]" if between == " " else r"[,;\n]", text)


def _chosen(declared: DeclaredField, text: str, name: str) -> str:
    found = next((word for word in declared.words if word == text), None)
    if found is None:
        raise none_of_these(text, name)
    return found


def _has_input(declared: DeclaredField) -> bool:
    kind = declared.is_a
    return kind is VERSION or not (isinstance(kind, _NO_INPUT) or (kind.merge == "keep" and kind.bookkeeping))
