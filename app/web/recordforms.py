"""Fill a form from a record and read a record from a form, using the declared fields.

    SOURCE = RecordForm(Source, without={"pattern": "It has a page of its own."})
    SOURCE.filled(source)                        # the values of the form
    SOURCE.read(form, source, problems)          # the source that the form describes

The template decides where a field is on the page; a test fails if one of these fields has no input there.
A view passes values that it shows or reads in its own way (`own`).
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

Made = TypeVar("Made", bound="DataclassInstance")
_NO_INPUT = (Id, Items, Nested, Statement, Data)
"""Kinds without an input of their own: ids are given by the store, records within have forms of their own."""


@dataclass(frozen=True)
class RecordForm(Generic[Made]):
    """The form of a record type, or of some of its fields.

    Attributes:
        record: the class of the record.
        only: the fields that are in the form; all of them where it is empty.
        also: fields with an input of a kind that this module does not know; the view shows and reads them.
        without: the fields that are not, with the reason.
        names: names of fields in the form, if they differ from the field's own.
        beside: inputs that show a field's error, if not its own input.
        unsaid: the error if nothing is chosen from a closed list, and its fix.
        between: the separator of a list, if it is not a comma.
    """

    record: type[Made]
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
        return tuple(
            one
            for one in fields_of(self.record)
            if one.name not in self.without
            and (one.name in self.only if self.only else _has_input(one) or one.name in self.also)
        )  # fmt: skip

    def name(self, of: str) -> str:
        """Return the name of a field in the form."""
        return self.names.get(of, of)

    def filled(self, record: Made) -> dict[str, object]:
        """Return the form values of a record, by form name."""
        return {self.name(one.name): self._shown(one, getattr(record, one.name)) for one in self.fields}

    def filled_rows(self, records: tuple[Made, ...]) -> dict[str, object]:
        """Return the values of a form with one row per record."""
        return {
            self.name(one.name): tuple("".join(self._shown(one, getattr(r, one.name))) for r in records)
            for one in self.fields
        }

    def read(
        self, form: Form, before: Made, problems: Problems, own: Mapping[str, object] | None = None
    ) -> Made:
        """Return the record that a form describes.

        Args:
            form: as it was sent; what it does not have at all stays as it is.
            before: the record as it is; what is not in the form stays.
            problems: collects what is wrong; the field then stays as it is.
            own: values of fields that the view itself has read.
        """
        values = dict(own or {})
        for one in self.fields:
            if one.name not in values:
                now: object = getattr(before, one.name)
                values[one.name] = problems.value(now, self._read, one, form, now)
        return changed_by(before, values)

    def read_rows(self, form: Form, blank: Made, like: str) -> Iterator[Made]:
        """Yield the records of a form with one row each.

        Args:
            form: as it was sent.
            blank: an empty record.
            like: the field that every row has; others may have fewer values.

        Raises:
            BadInput: a row has an invalid value.
        """
        for n in range(len(form.all(self.name(like)))):
            row = Form({self.name(one.name): (form.nth(self.name(one.name), n),) for one in self.fields})
            yield changed_by(
                blank, {one.name: self._read(one, row, getattr(blank, one.name)) for one in self.fields}
            )

    def refused(
        self, form: Form, error: WordholdError, at: Mapping[str, str] | None = None, under: Path = ()
    ) -> Form:
        """Return the form with errors beside its fields.

        Args:
            form: as it was sent.
            error: what is wrong; its `path` says which field.
            at: names of fields by `where`, for errors that have no path.
            under: the path of this form's record within the whole record.
        """
        called = {one.name: self.name(one.name) for one in self.fields}
        return form.refused(error, at, under=under, called=called | dict(self.beside))

    def _shown(self, one: DeclaredField, value: object) -> tuple[str, ...]:
        if value is None:
            return ("",)
        if isinstance(one.is_a, Flag):
            return ("yes",) if value else ()
        if isinstance(value, tuple):
            texts = tuple(str(part) for part in value)
            return texts if isinstance(one.is_a, Members) else (self._between(one).join(texts),)
        return (str(value),)

    def _between(self, one: DeclaredField) -> str:
        languages = isinstance(one.is_a, Lines) and one.is_a.language
        return self.between.get(one.name, " " if languages else ", ")

    def _read(self, one: DeclaredField, form: Form, now: object) -> object:
        """Return the value of a field in a form.

        Raises:
            BadInput: the value is invalid.
        """
        name, kind = self.name(one.name), one.is_a
        if isinstance(kind, Flag):
            return bool(form.line(name))
        if isinstance(kind, Members):
            chosen = tuple(_chosen(one, text, name) for text in form.all(name))
            return tuple(word for word in one.words if word in chosen)
        if kind is VERSION:
            return form.number(name)
        if name not in form.texts and one.name not in self.unsaid:
            return now
        if isinstance(kind, Member):
            return self._member(one, form.line(name))
        if isinstance(kind, Count):
            return form.number(name) if form.line(name) or not one.optional else None
        if isinstance(kind, Lines):
            return tuple(filter(None, (text.strip() for text in self._parts(one, form.text(name)))))
        return form.text(name) if isinstance(kind, Block | Verbatim) else form.line(name)

    def _member(self, one: DeclaredField, text: str) -> str | None:
        name = self.name(one.name)
        if text or text in one.words:
            return _chosen(one, text, name)
        if one.optional:
            return None
        what, fix = self.unsaid.get(one.name) or (
            _("Nothing has been chosen."), _("Choose one from the list.")
        )  # fmt: skip
        raise BadInput(what, where=name, fix=fix)

    def _parts(self, one: DeclaredField, text: str) -> list[str]:
        between = self._between(one)
        if between == "\n":
            return text.split("\n")
        return re.split(r"[\s,;]" if between == " " else r"[,;\n]", text)


def _chosen(one: DeclaredField, text: str, name: str) -> str:
    found = next((word for word in one.words if word == text), None)
    if found is None:
        raise none_of_these(text, name)
    return found


def _has_input(one: DeclaredField) -> bool:
    kind = one.is_a
    return kind is VERSION or not (isinstance(kind, _NO_INPUT) or (kind.merge == "keep" and kind.bookkeeping))
