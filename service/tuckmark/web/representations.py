"""How answers are written: their JSON, the formats there are to choose from, names for files."""

import re
from collections.abc import Callable, Mapping
from typing import Any, Final

import orjson

from tuckmark.document import Json
from tuckmark.render.view import MEDIA_TYPES, Format
from tuckmark.web.table import Parameters

_NAME_CHARACTERS: Final = 40


def json_bytes(value: Any) -> bytes:
    """A JSON answer; equal values give equal bytes."""
    return orjson.dumps(value, option=orjson.OPT_APPEND_NEWLINE)


def media_types(formats: tuple[Format, ...]) -> tuple[str, ...]:
    """What an answer can be had as, in the words of ``Accept``."""
    return tuple(MEDIA_TYPES[form] for form in formats)


def offers_of(formats: tuple[Format, ...]) -> Callable[[Parameters], tuple[str, ...]]:
    """Media types of these formats; of one only, where the parameter ``format`` names it."""

    def offers(parameters: Parameters) -> tuple[str, ...]:
        named = parameters.get("format")
        return media_types(tuple(form for form in formats if named in (None, form)))

    return offers


def file_name(job: Mapping[str, Json], what: str, form: Format) -> str:
    """A name for a file that goes with a job, from its order and item."""
    words = (job.get("order", "splice"), job.get("item", ""), what)
    plain = (re.sub(r"[^A-Za-z0-9]+", "-", word[:_NAME_CHARACTERS]).strip("-") for word in words)
    return f"{'-'.join(filter(None, plain))}.{form}"
