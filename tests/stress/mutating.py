"""Damaging valid files: bytes, lines, values, elements and the members of zips, from a seed."""

import hashlib
import io
import json
import random
import re
import zipfile
from collections.abc import Callable
from typing import Any

from lxml import etree

__all__ = ["damaged_backup", "damaged_bytes", "damaged_json", "damaged_text", "damaged_xml", "damaged_zip"]

ODD_BYTES = (
    b"\0",
    b"\xff",
    b"\xfe\xff",
    b"\x80",
    b"\n",
    b"\r",
    b'"',
    b"<",
    b"&",
    b"{",
    b"@",
    b"%",
    b"\\",
    b"\x1a",
)
ODD_TEXTS = (
    "", " ", "0", "-1", "1", "true", "None", "9" * 30, "9" * 5000, "1e999", "NaN", "-", "=1+1", "\u202e", "é",
    "\u00ad", "e\u0301", "\U0001f93c", "\ufeff", "\ufdd0", "a" * 300, "a b", "c0001", "c9999", "s1", "en",
    "en-", "cy", "zz-zz-zz-zz", "1898", "1898-13", "189X", "[..1898]", "x\ny", "a;b", "a,b", '"', "'", "<b>",
    "&amp;", "../x", "%s", "%(n)s", "{", "}", "\\", "\t", "use", "secure", "other", "1/2", "2026-02-30",
    "0000", "-0001", "١٢", "²",
)  # fmt: skip
"""Values that have confused parsers before: empty, huge, negative, in another script, in another format."""
ODD_VALUES: tuple[Any, ...] = (
    None,
    True,
    False,
    0,
    -1,
    10**30,
    1.5,
    1e308,
    "",
    [],
    {},
    [[]],
    [None],
    {"a": 1},
    *ODD_TEXTS,
)


def damaged_bytes(data: bytes, chance: random.Random) -> bytes:
    """The bytes with one to four faults: flipped, deleted, doubled, inserted, moved, truncated."""
    made = bytearray(data)
    for _ in range(chance.randint(1, 4)):
        size = len(made)
        if not size:
            break
        at = chance.randrange(size)
        length = min(size - at, chance.choice((1, 1, 2, 4, 16, 200)))
        match chance.randrange(6):
            case 0:
                made[at] ^= 1 << chance.randrange(8)
            case 1:
                del made[at : at + length]
            case 2:
                made[at:at] = made[at : at + length] * chance.choice((1, 1, 2, 50))
            case 3:
                made[at:at] = chance.choice(ODD_BYTES)
            case 4:
                to = chance.randrange(size)
                piece = made[at : at + length]
                made[to : to + length] = piece
            case _:
                if chance.random() < 0.3:
                    del made[at:]
                else:
                    made[at : at + length] = chance.randbytes(length)
    return bytes(made)


_TOKEN = re.compile(r'\w+|"[^"\n]*"|\s+|[^\w\s]')


def damaged_text(data: bytes, chance: random.Random) -> bytes:
    """A text with one to three words or lines replaced, deleted, doubled or swapped."""
    text = data.decode("utf-8")
    for _ in range(chance.randint(1, 3)):
        if chance.random() < 0.5:
            parts, between = text.split("\n"), "\n"
        else:
            parts, between = _TOKEN.findall(text), ""
        if len(parts) < 2:
            break
        at, other = chance.randrange(len(parts)), chance.randrange(len(parts))
        match chance.randrange(5):
            case 0:
                odd = chance.choice(ODD_TEXTS)
                parts[at] = f'"{odd}"' if parts[at].startswith('"') else odd
            case 1:
                del parts[at]
            case 2:
                parts[at:at] = [parts[at]] * chance.choice((1, 1, 40))
            case 3:
                parts[at], parts[other] = parts[other], parts[at]
            case _:
                parts[at] += chance.choice(ODD_TEXTS)
        text = between.join(parts)
    return text.encode("utf-8", "surrogatepass")


def damaged_xml(data: bytes, chance: random.Random) -> bytes:
    """Well-formed XML with one to three elements or attributes deleted, renamed, emptied, moved or filled
    with odd texts; if it cannot be parsed, its bytes are damaged."""
    try:
        root = etree.fromstring(data)
    except etree.XMLSyntaxError:
        return damaged_bytes(data, chance)
    for _ in range(chance.randint(1, 3)):
        elements = [e for e in root.iter() if isinstance(e.tag, str)]
        first, other = chance.choice(elements), chance.choice(elements)
        if chance.random() < 0.4:
            _damage_attributes(first, other, chance)
        else:
            _damage_element(first, other, chance)
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8")


def _damage_attributes(one: etree._Element, other: etree._Element, chance: random.Random) -> None:
    if chance.random() < 0.3 and other.attrib:
        name = chance.choice(list(other.attrib))
        one.set(name, other.get(name) or "")
    elif one.attrib:
        name = chance.choice(list(one.attrib))
        if chance.random() < 0.5:
            del one.attrib[name]
        else:
            one.set(name, _xml_text(chance))


def _damage_element(one: etree._Element, other: etree._Element, chance: random.Random) -> None:
    parent = one.getparent()
    match chance.randrange(6):
        case 0 if parent is not None:
            parent.remove(one)
        case 1:
            one.tag = other.tag
        case 2:
            one.tag = chance.choice(("x", "{urn:x}tbx", etree.QName(one).localname))
        case 3:
            one.text = _xml_text(chance)
        case 4 if other.getparent() is not None and other not in (one, *one.iterancestors()):
            one.append(other)
        case _:
            for child in list(one):
                one.remove(child)


def _xml_text(chance: random.Random) -> str:
    return chance.choice(ODD_TEXTS).replace("\0", "")


def damaged_json(data: bytes, chance: random.Random) -> bytes:
    """JSON (or JSON lines) with one to three values deleted, doubled, swapped or of another kind."""
    try:
        lines = [json.loads(line) for line in data.splitlines()] if data.count(b"\n{") else [json.loads(data)]
    except ValueError:
        return damaged_bytes(data, chance)
    for _ in range(chance.randint(1, 3)):
        places = _places(lines)
        if places:
            _damage_value(*chance.choice(places), chance.choice(places), chance)
    return b"\n".join(json.dumps(line).encode() for line in lines) + b"\n"


def _places(lines: list[Any]) -> list[tuple[Any, Any]]:
    """Every value of some JSON (3,000 or a few more), as its container and its name or number there."""
    places: list[tuple[Any, Any]] = [(lines, n) for n in range(len(lines))]
    for holder, key in places:
        value = holder[key]
        if isinstance(value, dict):
            places.extend((value, name) for name in value)
        elif isinstance(value, list):
            places.extend((value, n) for n in range(len(value)))
        if len(places) > 3000:
            break
    return places


def _damage_value(holder: Any, key: Any, other: tuple[Any, Any], chance: random.Random) -> None:
    match chance.randrange(5):
        case 0:
            del holder[key]
        case 1 if isinstance(holder, list):
            holder.append(holder[key])
        case 2 if isinstance(holder, dict):
            holder[chance.choice((*ODD_TEXTS, "id", "version"))] = holder[key]
        case 3:
            holder[key] = json.loads(json.dumps(other[0][other[1]]))
        case _:
            holder[key] = chance.choice(ODD_VALUES)


def _damage_of(name: str) -> Callable[[bytes, random.Random], bytes]:
    if name.endswith((".xml", ".rels", ".tbx")):
        return damaged_xml
    return damaged_json if name.endswith((".json", ".jsonl")) else damaged_bytes


def damaged_zip(data: bytes, chance: random.Random) -> bytes:
    """A zip with faults in its bytes, or with a member deleted, renamed, swapped or damaged."""
    if chance.random() < 0.25:
        return damaged_bytes(data, chance)
    return _written(_with_a_fault(_members(data), chance))


def damaged_backup(data: bytes, chance: random.Random) -> bytes:
    """As `damaged_zip`, mostly with a manifest that matches the damaged members."""
    if chance.random() < 0.15:
        return damaged_bytes(data, chance)
    members = _with_a_fault(_members(data), chance)
    try:
        manifest = json.loads(members["manifest.json"])
        for member in manifest["members"]:
            content = members.get(member["name"], b"")
            member["size"] = len(content)
            member["sha256"] = hashlib.sha256(content).hexdigest()
            if member.get("records") and chance.random() < 0.9:
                member["records"] = content.count(b"\n")
        members["manifest.json"] = json.dumps(manifest).encode()
    except (LookupError, TypeError, ValueError, AttributeError):
        pass
    return _written(members)


def _with_a_fault(members: dict[str, bytes], chance: random.Random) -> dict[str, bytes]:
    names = list(members)
    name = chance.choice(names)
    match chance.randrange(12):
        case 0:
            del members[name]
        case 1:
            members[f"{name}x"] = members.pop(name)
        case 2:
            members[name] = members[chance.choice(names)]
        case 3:
            members[name] = damaged_bytes(members[name], chance)
        case 4:
            members[name] = b""
        case _:
            members[name] = _damage_of(name)(members[name], chance)
    return members


def _members(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _written(members: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
    return out.getvalue()
