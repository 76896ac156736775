"""Header fields that make an answer safe to open."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

#: on every answer, whatever it is
ALWAYS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "Access-Control-Allow-Origin": "*",
        "Access-Control-Expose-Headers": "Accept-Post, Allow, Content-Disposition, ETag, Link, "
        "Retry-After, WWW-Authenticate, X-Request-ID",
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
    }
)
#: data: opened by itself, it loads nothing and runs nothing
_DATA: Final = "default-src 'none'; frame-ancestors 'none'"
#: what a type needs beyond that; scripts never, but on pages that name theirs in their own row
_OF_TYPE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "text/html": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        "image/svg+xml": "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'",
        # the viewers of browsers are themselves made of styles and images
        "application/pdf": "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
        "object-src 'self'; plugin-types application/pdf; frame-ancestors 'none'",
    }
)


def content_security(media_type: str) -> str:
    """The content security policy of a media type."""
    return _OF_TYPE.get(media_type, _DATA)
