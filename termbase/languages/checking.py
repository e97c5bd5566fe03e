"""What is wrong with a language file: every mistake, each with its line."""

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import msgspec

from termbase.errors import BadInput
from termbase.languages import tags
from termbase.languages.files import FORMAT, LanguageFile, Order
from termbase.languages.folding import one_spelling
from termbase.languages.keys import Keyer
from termbase.languages.mutations import parse_rule
from termbase.tomlfiles import NotToml, read_toml, toml_text

__all__ = ["Fault", "check_file"]

_LATIN = "abcdefghijklmnopqrstuvwxyz"
_MOST_LETTERS = 150


@dataclass(frozen=True, slots=True)
class Fault:
    """A mistake in a file: its line (from 1), what is wrong, how to fix it."""

    line: int
    what: str
    fix: str


def check_file(path: Path) -> tuple[Fault, ...]:
    """Every mistake in a language file, by line; none when it can be used.

    Raises:
        OSError: the file cannot be opened.
    """
    try:
        text = toml_text(path)
        table = read_toml(text, path.name)
    except NotToml as problem:
        return (Fault(problem.line, problem.what, f"{problem.fix} Compare the examples in README.md."),)
    except BadInput as problem:
        line = re.search(r", line (\d+)", problem.where)
        return (Fault(int(line[1]) if line else 1, problem.what, problem.fix),)
    check = _Check(text, table)
    return tuple(sorted(check.faults(), key=lambda fault: (fault.line, fault.what)))


class _Check:
    """One file under examination."""

    def __init__(self, text: str, table: dict[str, object]) -> None:
        self._lines = text.splitlines()
        self._table = table

    def faults(self) -> list[Fault]:
        found = [*self._shape()]
        if found:
            return found
        file = msgspec.convert(self._table, LanguageFile)
        for part in (self._heading, self._orders, self._mutations, self._irregular, self._replacements):
            found.extend(part(file))
        if not found:
            found.extend(self._examples(file))
        return found

    # The shape: keys and types

    def _shape(self) -> Iterator[Fault]:
        fields = {field.encode_name: field for field in msgspec.structs.fields(LanguageFile)}
        for field in fields.values():
            if field.required and field.encode_name not in self._table:
                yield Fault(
                    1, f"The key {field.encode_name} is missing.", "Add it; README.md describes its content."
                )
        for key, value in self._table.items():
            if key not in fields:
                near = ", ".join(fields)
                yield Fault(self._key_line(key), f"There is no key {key}.", f"The keys are: {near}.")
            elif key in _TABLES and isinstance(value, list):
                for place, entry in enumerate(value):
                    yield from self._convert(entry, _TABLES[key], self._header_line(key, place))
            else:
                yield from self._convert(value, fields[key].type, self._key_line(key))

    def _convert(self, value: object, wanted: type, line: int) -> Iterator[Fault]:
        try:
            msgspec.convert(value, wanted)
        except msgspec.ValidationError as problem:
            named = re.search(r"`\$\.(\w+)|field `(\w+)`", str(problem))
            inner = next(filter(None, named.groups()), "") if named else ""
            at = self._line_of(rf"\s*{inner}\s*=", line - 1) if inner else 0
            yield Fault(at or line, f"{problem}.", "See README.md.")

    # What it says

    def _heading(self, file: LanguageFile) -> Iterator[Fault]:
        if file.format != FORMAT:
            yield Fault(
                self._key_line("format"), f"The format is {file.format}.", f"Write format = {FORMAT}."
            )
        if not tags.is_well_formed(file.tag):
            yield Fault(
                self._key_line("tag"), f"“{file.tag}” is no language tag.", "Write a BCP 47 tag, such as cy."
            )
        for number, line in enumerate(self._lines, 1):
            if not unicodedata.is_normalized("NFC", line):
                yield Fault(
                    number,
                    "Letters and their accents are stored as separate characters.",
                    "Save the line in Unicode NFC.",
                )
        for character in _repeated(file.palette):
            yield Fault(self._text_line(character), f"The palette has {character} twice.", "Keep one.")

    def _orders(self, file: LanguageFile) -> Iterator[Fault]:
        yield from self._order(file.alphabet, self._line_of(r"\[alphabet\]", 0))
        for name, order in file.orders.items():
            yield from self._order(order, self._line_of(rf"\[orders\.{re.escape(name)}\]", 0))

    def _order(self, order: Order, header: int) -> Iterator[Fault]:
        line = self._line_of(r"\s*letters\s*=", header) or header or 1
        letters = order.letters.split()
        for letter in _repeated(letters):
            yield Fault(
                line,
                f"The letter {letter} stands in the order twice.",
                "Keep only the one in the right place.",
            )
        for letter in letters:
            if letter != letter.lower():
                yield Fault(line, f"The letter {letter} is a capital.", "Write the letters in lower case.")
        missing = sorted(set(_LATIN) - set(letters))
        if missing and set(_LATIN) & set(letters):
            yield Fault(line, f"The order lacks {' '.join(missing)}.", "Add them, including foreign letters.")
        if len(letters) > _MOST_LETTERS:
            yield Fault(
                line, f"The order has {len(letters)} letters.", f"At most {_MOST_LETTERS} are possible."
            )

    def _mutations(self, file: LanguageFile) -> Iterator[Fault]:
        for place, table in enumerate(file.mutations):
            header = self._header_line("mutations", place)
            for text in table.rules:
                line = self._text_line(text, header)
                try:
                    radical, changed, environment = parse_rule(text, file.vowels)
                except ValueError as problem:
                    yield Fault(line, f"{problem}.", "Write for example: s > sh / s[Vlnr]")
                    continue
                if radical == changed:
                    yield Fault(line, f"The rule “{text}” changes nothing.", "Remove it.")
                if "V" in (radical + changed) and (radical != "V" or not changed.endswith("V")):
                    yield Fault(
                        line, f"V in “{text}” does not stand on both sides.", "Write for example: V > hV"
                    )
                if (radical + changed).replace("V", "") != (radical + changed).replace("V", "").lower():
                    yield Fault(line, f"The rule “{text}” has capitals.", "Write it in lower case.")
                if environment and radical != "V" and not _can_begin(environment, radical):
                    yield Fault(
                        line,
                        f"The environment of “{text}” never begins with {radical}.",
                        "It is matched from the first letter of the unmutated word.",
                    )
            for text in _repeated(table.rules):
                yield Fault(self._text_line(text, header), f"The rule “{text}” stands twice.", "Keep one.")

    def _irregular(self, file: LanguageFile) -> Iterator[Fault]:
        for headword, forms in file.irregular.items():
            line = self._line_of(rf'\s*"?{re.escape(headword)}"?\s*=', self._line_of(r"\[irregular\]", 0))
            if not forms:
                yield Fault(line, f"{headword} has no forms.", "Add them or remove the line.")
            for form in (*_repeated(forms), *(form for form in forms if form == headword)):
                yield Fault(line, f"{headword} has the form {form} twice.", "Keep one.")

    def _replacements(self, file: LanguageFile) -> Iterator[Fault]:
        for pattern, put in file.stems:
            yield from self._replacement(pattern, put, self._line_of(r"\s*stems\s*=", 0))
        for place, rule in enumerate(file.spellings):
            for pattern, put in rule.replace:
                yield from self._replacement(pattern, put, self._header_line("spellings", place))
        for name in _repeated([rule.id for rule in file.spellings]):
            yield Fault(self._text_line(name), f"Two spellings have the id {name}.", "Give each its own id.")
        for seen, _ in file.misreadings:
            if not seen:
                yield Fault(
                    self._key_line("misreadings"), "The misreading is empty.", "Write two non-empty texts."
                )

    def _replacement(self, pattern: str, put: str, start: int) -> Iterator[Fault]:
        try:
            re.compile(pattern).sub(put, "")
        except (re.error, IndexError) as problem:
            yield Fault(
                self._text_line(pattern, start),
                f"“{pattern}” to “{put}” cannot be used: {problem}.",
                "Write a regular expression and a replacement of Python's re.",
            )

    def _examples(self, file: LanguageFile) -> Iterator[Fault]:
        keyer = Keyer(file)
        for place, rule in enumerate(file.spellings):
            header = self._header_line("spellings", place)
            for example in rule.examples:
                line = self._text_line(example, header)
                old, arrow, modern = example.partition(" > ")
                if not arrow:
                    yield Fault(line, f"The example “{example}” has no “ > ”.", "Write: old > modern")
                elif not _one_key(keyer, old, modern):
                    yield Fault(
                        line,
                        f"The rules do not bring “{old}” and “{modern}” to one key.",
                        "Correct the rule or the example.",
                    )

    # Lines

    def _key_line(self, key: str) -> int:
        return self._line_of(rf"\s*(\[+\s*)?{re.escape(key)}\b", 0) or 1

    def _header_line(self, key: str, place: int) -> int:
        line = 0
        for _ in range(place + 1):
            line = self._line_of(rf"\s*\[\[\s*{re.escape(key)}\s*\]\]", line) or line
        return line or self._key_line(key)

    def _text_line(self, text: str, after: int = 0) -> int:
        """The first line, from the given one on, that has the text as TOML writes it, quoted or bare."""
        escaped = text.replace("\\", "\\\\")
        for written in (f"'{text}'", f'"{escaped}"', text, escaped):
            for number, line in enumerate(self._lines[max(after - 1, 0) :], max(after, 1)):
                if written in line:
                    return number
        return max(after, 1)

    def _line_of(self, pattern: str, after: int) -> int:
        """The number of the first line after the given one that begins with the pattern; 0 if none."""
        for number, line in enumerate(self._lines[after:], after + 1):
            if re.match(pattern, line):
                return number
        return 0


def _one_key(keyer: Keyer, old: str, modern: str) -> bool:
    first, second = (dict(keyer.old(one_spelling(word))) for word in (old, modern))
    return any(key == second[kind] for kind, key in first.items())


def _can_begin(environment: re.Pattern[str], radical: str) -> bool:
    """Whether some word beginning with the radical fits; tried with every letter that may follow."""
    ends = ("", *(first + second for first in _LATIN + "âêîôûàáèéìíòóùúŷŵ'" for second in ("", *_LATIN)))
    return any(environment.match(radical + end) for end in ends)


def _repeated(texts: tuple[str, ...] | list[str]) -> tuple[str, ...]:
    return tuple(text for place, text in enumerate(texts) if text in texts[:place])


_TABLES: dict[str, type] = {
    field.encode_name: field.type.__args__[0]
    for field in msgspec.structs.fields(LanguageFile)
    if field.encode_name in ("mutations", "spellings", "inflections")
}
