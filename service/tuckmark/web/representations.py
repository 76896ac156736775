"""How JSON answers are written."""

from typing import Any

import orjson


def json_bytes(value: Any) -> bytes:
    """A JSON answer; equal values give equal bytes."""
    return orjson.dumps(value, option=orjson.OPT_APPEND_NEWLINE)
