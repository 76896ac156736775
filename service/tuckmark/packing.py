"""Self-contained addresses: a whole spec in a piece of a path, and back.

The piece is a digit that names the dictionary, then base64url of the raw DEFLATE of the spec's
canonical JSON. A dictionary, once released, never changes: printed addresses outlive it.
"""

import base64
import binascii
import re
import zlib
from functools import cache
from importlib import resources
from typing import Final

from tuckmark import document
from tuckmark.document import Json

#: the longest piece that is made or read
MAX_CHARACTERS: Final = 2000
#: the dictionary that addresses are made with
CURRENT: Final = "1"
_DICTIONARIES: Final = (CURRENT,)
_SHAPE: Final = re.compile(r"[0-9][A-Za-z0-9_-]+")
_RAW: Final = -zlib.MAX_WBITS
_MEMORY_LEVEL: Final = 5  # as small as with more, and quicker to set up


class BadAddressError(Exception):
    """A piece of a path that is no packed spec; its text says why, for people."""


def pack(canonical: bytes) -> str | None:
    """The piece that holds a spec; None where it would be too long to scan or to send.

    Args:
        canonical: the spec's canonical JSON (RFC 8785).
    """
    packer = zlib.compressobj(
        zlib.Z_BEST_COMPRESSION,
        zlib.DEFLATED,
        _RAW,
        _MEMORY_LEVEL,
        zlib.Z_DEFAULT_STRATEGY,
        _dictionary(CURRENT),
    )
    deflated = packer.compress(canonical) + packer.flush()
    piece = CURRENT + base64.urlsafe_b64encode(deflated).rstrip(b"=").decode("ascii")
    return piece if len(piece) <= MAX_CHARACTERS else None


def unpack(piece: str) -> Json:
    """The document that a piece holds, read as strictly as any other.

    Raises:
        BadAddressError: it is not a packed document.
        document.UnreadableError: what it holds is not strict JSON.
    """
    if len(piece) > MAX_CHARACTERS:
        raise BadAddressError(f"An address holds at most {MAX_CHARACTERS} characters.")
    if not _SHAPE.fullmatch(piece) or piece[0] not in _DICTIONARIES:
        raise BadAddressError("This is not an address that was made here; copy it whole.")
    return document.read(_inflated(_decoded(piece[1:]), _dictionary(piece[0])))


def _decoded(text: str) -> bytes:
    try:
        found = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    except binascii.Error:
        raise BadAddressError("The address is cut short; copy it whole.") from None
    if base64.urlsafe_b64encode(found).rstrip(b"=").decode("ascii") != text:
        raise BadAddressError("The address is damaged; copy it anew.")
    return found


def _inflated(deflated: bytes, dictionary: bytes) -> bytes:
    """At most one document's worth of bytes, whatever the piece claims to hold."""
    unpacker = zlib.decompressobj(_RAW, dictionary)
    try:
        found = unpacker.decompress(deflated, document.MAX_BYTES + 1)
    except zlib.error:
        raise BadAddressError("The address is damaged; copy it anew.") from None
    if len(found) > document.MAX_BYTES:
        raise BadAddressError("The address holds more than a document may.")
    if not unpacker.eof or unpacker.unused_data:
        raise BadAddressError("The address is cut short or has something added; copy it whole.")
    return found


@cache
def _dictionary(digit: str) -> bytes:
    return resources.files("tuckmark").joinpath("data", f"packing_{digit}.txt").read_bytes()
