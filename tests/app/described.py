"""Holding printed JSON documents against the types that describe them."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, get_args, get_origin

from app.cli import main
from app.documents import DocumentField, commands_with_json, document_fields, fields_of_type, types_within

__all__ = ["Printed"]

Fields = tuple[DocumentField, ...]


class Printed:
    """The keys that were printed, by the name of the described object that has them."""

    def __init__(self) -> None:
        self.undescribed: set[str] = set()
        self._printed: dict[str, set[str]] = defaultdict(set)
        self._fields: dict[str, Fields] = {}

    def add(self, document: dict[str, Any]) -> None:
        """Compare one document with its description."""
        command = document["wordhold"]
        content = {key: value for key, value in document.items() if key != "wordhold"}
        self._object(content, command, document_fields(command, commands_with_json(main)[command]))

    def never_printed(self) -> Iterator[str]:
        """Yield the described keys of printed objects that no object had, unless empty ones are left out."""
        for name, fields in self._fields.items():
            expected = (each.name for each in fields if not each.text.endswith("(left out if empty)"))
            yield from (f"{name}.{each}" for each in expected if each not in self._printed[name])

    def _object(self, value: dict[str, Any], name: str, fields: Fields) -> None:
        self._fields[name] = fields
        self._printed[name] |= value.keys()
        known = {each.name: each.hint for each in fields}
        for key, under in value.items():
            if key in known:
                self._value(under, known[key], f"{name}.{key}")
            else:
                self.undescribed.add(f"{name}.{key}")
        absent = (each.name for each in fields if each.always and each.name not in value)
        self.undescribed |= {f"{name}: no {each}" for each in absent}

    def _value(self, value: object, hint: object, where: str) -> None:
        if get_origin(hint) is Annotated:
            hint = get_args(hint)[0]
        if isinstance(value, list):
            for each in value:
                self._value(each, hint, where)
        elif isinstance(value, dict) and _by_key(hint):
            for each in value.values():
                self._value(each, get_args(hint)[1], where)
        elif isinstance(value, dict):
            types = list(types_within(hint))
            fitting = [cls for cls in types if value.keys() <= {each.name for each in fields_of_type(cls)}]
            if fitting:
                fitting.sort(key=lambda cls: len(fields_of_type(cls)))
                tagged = [cls for cls in fitting if _has_tag(value, cls)]
                cls = (tagged or fitting)[0]
                self._object(value, f"{cls.__module__}.{cls.__name__}", fields_of_type(cls))
            elif types:
                self.undescribed.add(f"{where}: {sorted(value)}")


def _by_key(hint: object) -> bool:
    return get_origin(hint) in (dict, Mapping)


def _has_tag(value: dict[str, Any], cls: type) -> bool:
    config = getattr(cls, "__struct_config__", None)
    return config is not None and config.tag is not None and value.get(config.tag_field) == config.tag
