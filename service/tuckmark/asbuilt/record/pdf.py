"""The record on paper. The source is ours and fixed; what came with a request is data to it."""

import re
from dataclasses import asdict, replace
from functools import cache
from importlib import resources
from typing import Final

import orjson

from tuckmark.asbuilt.record.content import Record
from tuckmark.render import typesetting

_DATA: Final = "record.json"
#: a word so long may be broken, so that none runs over the edge of its column
_LONG: Final = re.compile(r"(\S{12})(?=\S)")
_BREAK: Final = "\u200b"


def as_pdf(record: Record) -> bytes:
    """The record as a PDF; equal records give equal bytes."""
    facts = tuple((_breakable(name), _breakable(value)) for name, value in record.facts)
    lines = tuple(replace(line, measured=_breakable(line.measured)) for line in record.lines)
    printed = replace(record, title=_breakable(record.title), facts=facts, lines=lines)
    return typesetting.pdf(_source(), {_DATA: orjson.dumps(asdict(printed))})


def _breakable(text: str) -> str:
    return _LONG.sub(rf"\1{_BREAK}", text)


@cache
def _source() -> str:
    return resources.files("tuckmark.asbuilt.record").joinpath("record.typ").read_text("utf-8")
