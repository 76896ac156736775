"""Who may ask: bearer keys, of which only hashes are kept.

The file holds one key a line: the SHA-256 of the key in hexadecimal, a space and a name. It is
read again whenever it changes. While it cannot be read, nobody is let in.
"""

import hashlib
import hmac
import logging
import os
import re
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import Final

_LOG: Final = logging.getLogger(__name__)
_LINE: Final = re.compile(r"([0-9a-f]{64})[ \t]+([A-Za-z0-9._-]{1,64})[ \t]*\Z")
_BEARER: Final = re.compile(r"bearer +([A-Za-z0-9._~+/-]+=*) *\Z", re.IGNORECASE)
_KEY_BYTES: Final = 32

_Signature = tuple[int, int, int, int]


class KeysUnreadableError(Exception):
    """The file is missing, cannot be read, or holds something that is no key."""


@dataclass(frozen=True, slots=True)
class _Read:
    """What the file held when it was read last."""

    signature: _Signature | None
    keys: tuple[tuple[bytes, str], ...] | None


class KeyRing:
    """The keys of one file, always those that stand there now."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._read: _Read | None = None

    def holder(self, token: str) -> str | None:
        """The name that a key stands for; None if it is no key.

        Every key is compared, each in constant time: neither the answer's time nor its order
        tells how close a guess came.

        Raises:
            KeysUnreadableError: nobody can be let in now.
        """
        hashed = hashlib.sha256(token.encode()).digest()
        found = None
        for known, name in self._keys():
            if hmac.compare_digest(known, hashed):
                found = name
        return found

    def _keys(self) -> tuple[tuple[bytes, str], ...]:
        now = self._signature()
        read = self._read
        if read is None or read.signature != now:
            read = self._read = self._read_file(now)
        if read.keys is None:
            raise KeysUnreadableError
        return read.keys

    def _signature(self) -> _Signature | None:
        try:
            return _signature_of(self._path.stat())
        except OSError:
            return None

    def _read_file(self, seen: _Signature | None) -> _Read:
        try:
            with self._path.open(encoding="ascii") as file:
                signature = _signature_of(os.fstat(file.fileno()))
                keys = parse(file.read())
        except OSError as error:
            _LOG.error("keys file: %s; nobody is let in", error.strerror)
            return _Read(seen, None)
        except ValueError as error:
            reason = "not ASCII" if isinstance(error, UnicodeError) else str(error)
            _LOG.error("keys file: %s; nobody is let in", reason)
            return _Read(seen, None)
        _LOG.info("keys file: %d keys", len(keys))
        return _Read(signature, keys)


def parse(text: str) -> tuple[tuple[bytes, str], ...]:
    """Hashes and names of a keys file.

    Raises:
        ValueError: a line is no key, or there is none at all; the line is named, not shown.
    """
    keys = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip() or line.startswith("#"):
            continue
        match = _LINE.match(line)
        if match is None:
            raise ValueError(f"line {number} is not a SHA-256 in hexadecimal and a name")
        keys.append((bytes.fromhex(match[1]), match[2]))
    if not keys:
        raise ValueError("it holds no key")
    return tuple(keys)


def _signature_of(status: os.stat_result) -> _Signature:
    return (status.st_ino, status.st_size, status.st_mtime_ns, status.st_ctime_ns)


def token_of(authorization: str | None) -> str | None:
    """The bearer token of an ``Authorization`` field (RFC 6750, 2.1)."""
    match = _BEARER.match(authorization or "")
    return match[1] if match else None


def new_key(name: str) -> tuple[str, str]:
    """A new key, and the line of the keys file that lets it in.

    Raises:
        ValueError: the name has other characters than letters, digits, dot, dash, underscore.
    """
    key = secrets.token_urlsafe(_KEY_BYTES)
    line = f"{hashlib.sha256(key.encode()).hexdigest()} {name}"
    if not _LINE.match(line):
        raise ValueError("a name is 1 to 64 letters, digits, dots, dashes or underscores")
    return key, line
