"""A compact set of XML ids: ids from the store are a letter and a number, so one bit each is enough."""

from collections.abc import Iterable, Iterator

__all__ = ["NameSet", "Targets"]

_WEB = ("http://", "https://")
_MOST_PASSED = 10_000
_ROOM = 1024
_MOST_DIGITS = 7  # ten million ids of one length: 1.25 MB of bits; longer ones are kept as text


class NameSet:
    """A set of names; names are equal only if every character is."""

    def __init__(self) -> None:
        self._bits: dict[tuple[str, int], bytearray] = {}
        self._others: set[str] = set()

    def add(self, name: str) -> bool:
        """Add a name; return False if it was already present."""
        return self.add_all((name,)) is None

    def add_all(self, names: Iterable[str]) -> str | None:
        """Add names; return the first that was already present, or None."""
        every, others, twice = self._bits, self._others, None
        for name in names:
            digits = name[1:]
            length = len(digits)
            if length > _MOST_DIGITS or not (digits.isdecimal() and digits.isascii()):
                if name in others:
                    twice = twice or name
                others.add(name)
                continue
            number = int(digits)
            place, bit = number >> 3, 1 << (number & 7)
            try:
                bits = every[name[0], length]
                before = bits[place]
            except (KeyError, IndexError):  # rare: space is allocated for many at a time
                bits = self._room(name[0], length, place)
                before = 0
            if before & bit:
                twice = twice or name
            else:
                bits[place] = before | bit
        return twice

    def _room(self, letter: str, length: int, place: int) -> bytearray:
        bits = self._bits.setdefault((letter, length), bytearray())
        bits.extend(bytes(place + 1 - len(bits) + _ROOM))
        return bits

    def __contains__(self, name: str) -> bool:
        digits = name[1:]
        if not (digits.isdecimal() and digits.isascii() and len(digits) <= _MOST_DIGITS):
            return name in self._others
        bits = self._bits.get((name[0], len(digits)), b"")
        place = int(digits) >> 3
        return place < len(bits) and bool(bits[place] & 1 << (int(digits) & 7))

    def highest(self, letter: str) -> int:
        """Return the highest number after this letter; 0 if there is none."""
        found = [0]
        for (first, _), bits in self._bits.items():
            if first == letter:
                used = bits.rstrip(b"\0")
                last = len(used) - 1
                found.append(last * 8 + used[last].bit_length() - 1)
        found += [
            int(n[1:]) for n in self._others if n[:1] == letter and n[1:].isdecimal() and n[1:].isascii()
        ]
        return max(found)

    def without(self, other: "NameSet") -> Iterator[str]:
        """Yield the names that the other set lacks, in an order that depends only on the names."""
        yield from sorted(self._others - other._others)
        for (letter, length), bits in sorted(self._bits.items()):
            theirs = other._bits.get((letter, length), bytearray())
            for place, byte in enumerate(bits):
                left = byte & ~(theirs[place] if place < len(theirs) else 0)
                for bit in range(8):
                    if left >> bit & 1:
                        yield f"{letter}{place * 8 + bit:0{length}d}"


class Targets:
    """The targets of a file's pointers, in little memory."""

    def __init__(self) -> None:
        self._names = NameSet()
        self._passed: set[str] = set()  # the same sources and people are cited again and again

    def add_all(self, names: list[str]) -> None:
        """Add targets; web addresses lead out of the file and are skipped."""
        new = set(names) - self._passed
        if not new:
            return
        if len(self._passed) < _MOST_PASSED:
            self._passed |= new
        self._names.add_all(name.removeprefix("#") for name in new if not name.startswith(_WEB))

    def without(self, ids: NameSet) -> Iterator[str]:
        """Yield the targets that are not among these ids."""
        return self._names.without(ids)
