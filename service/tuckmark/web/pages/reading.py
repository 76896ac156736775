"""Listings as pages, where a browser asks: each reads the JSON of its answer and nothing else."""

from typing import Final

import orjson

from tuckmark.pipeline import Pipeline
from tuckmark.web.pages import templates
from tuckmark.web.table import Body, Call, Handler

HTML: Final = "text/html"
#: JSON is what programs get that have no wish
OFFERS: Final = ("application/json", HTML)


def also(template: str, handler: Handler) -> Handler:
    """A handler whose answer is a page where HTML is wanted."""

    def answered(pipeline: Pipeline, call: Call) -> Body:
        body = handler(pipeline, call)
        if call.media_type != HTML or not isinstance(body, bytes):
            return body
        return templates.rendered(template, it=orjson.loads(body))

    return answered
