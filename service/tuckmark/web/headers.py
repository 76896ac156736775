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
#: a page of ours: what it shows is ours too, in nobody's frame
PAGE: Final = (
    "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "style-src 'self'; font-src 'self'; img-src 'self' data:"
)
_STYLED: Final = "style-src 'unsafe-inline'"
#: what a type needs beyond that; scripts never, but on pages that name theirs in their own row
_OF_TYPE: Final[Mapping[str, str]] = MappingProxyType(
    {
        # sheets and records carry their own style, to be whole when kept as a file
        "text/html": PAGE.replace("style-src 'self'", "style-src 'self' 'unsafe-inline'"),
        "image/svg+xml": f"{_DATA}; {_STYLED}",
        # the viewers of browsers are themselves made of styles and images
        "application/pdf": f"{_DATA}; {_STYLED}; img-src data:; object-src 'self'",
    }
)


def content_security(media_type: str) -> str:
    """The content security policy of a media type."""
    return _OF_TYPE.get(media_type, _DATA)
