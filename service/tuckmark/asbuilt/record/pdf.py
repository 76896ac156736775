"""The record on paper. The source is ours and fixed; what came with a request is data to it."""

from dataclasses import asdict
from functools import cache
from importlib import resources
from typing import Final

import orjson

from tuckmark.asbuilt.record.content import Record
from tuckmark.render import typesetting
from tuckmark.render.sheet.pdf import breakable

_DATA: Final = "record.json"


def as_pdf(record: Record) -> bytes:
    """The record as a PDF; equal records give equal bytes."""
    # the digest stays whole, so that it can be copied
    printed = {**breakable(asdict(record)), "marks": record.marks}
    return typesetting.pdf(_source(), {_DATA: orjson.dumps(printed)})


@cache
def _source() -> str:
    return resources.files("tuckmark.asbuilt.record").joinpath("record.typ").read_text("utf-8")
