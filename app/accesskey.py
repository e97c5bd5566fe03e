"""The access key of a termbase that is served to others, and the token of a browser that has sent it.

The key is in a file that only its owner may read. A browser that sends the key gets a token made from it
(HMAC-SHA-256, RFC 2104), never the key itself. After the key is changed, every browser is asked again.
"""

import hashlib
import hmac
import os
import secrets
import unicodedata
from pathlib import Path
from typing import Final

from termbase.errors import BadInput

__all__ = ["is_key", "is_token", "key_from", "new_token"]

SHORTEST: Final = 12
"""Minimum length of a key; a generated key has 20 letters and digits, about 98 bits."""

_LETTERS: Final = (
    "abcdefghjkmnpqrstuvwxyz23456789"  # without characters that are easily confused: i, l, o, 0, 1
)
_GROUPS, _GROUP = 5, 4
_LONGEST_FILE = 1024


def key_from(path: Path) -> tuple[str, bool]:
    """Return the key in a file and whether the file was just created; a missing file is created.

    Raises:
        BadInput: others may read the file, or it does not contain a key.
        OSError: the file cannot be read or created.
    """
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _read(path), False
    key = "-".join("".join(secrets.choice(_LETTERS) for _ in range(_GROUP)) for _ in range(_GROUPS))
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(f"{key}\n")
    return key, True


def is_key(typed: str, key: str) -> bool:
    """Return whether the typed text is the key, in constant time, ignoring spaces, hyphens and case."""
    return hmac.compare_digest(_plain(typed).encode(), _plain(key).encode())


def new_token(key: str) -> str:
    """Return a token for a browser that has sent the key."""
    number = secrets.token_hex(16)
    return f"{number}.{_signed(number, key)}"


def is_token(token: str, key: str) -> bool:
    """Return whether a token was made from this key."""
    number, _, signature = token.partition(".")
    return hmac.compare_digest(signature.encode(), _signed(number, key).encode())


def _signed(number: str, key: str) -> str:
    return hmac.new(_plain(key).encode(), f"wordhold {number}".encode(), hashlib.sha256).hexdigest()


def _plain(key: str) -> str:
    letters = unicodedata.normalize("NFC", key).casefold()
    return "".join(letter for letter in letters if not letter.isspace() and letter != "-")


def _read(path: Path) -> str:
    if os.name == "posix" and path.stat().st_mode & 0o077:
        raise BadInput(
            "Others on this machine can read the key.", where=str(path), fix=f"Run: chmod 600 {path}"
        )
    with path.open(encoding="utf-8") as file:
        key = file.read(_LONGEST_FILE).strip()
    if "\n" in key or len(_plain(key)) < SHORTEST:
        raise BadInput(
            "The file does not contain an access key.",
            where=str(path),
            fix=f"Write one line of at least {SHORTEST} letters or digits into it, or name a new file.",
        )
    return key
