"""The templates of all pages: autoescaped, strict about names, made once."""

import json
from functools import cache
from typing import TYPE_CHECKING, Any

import rfc8785

from tuckmark import packing
from tuckmark.render.words import sentence, words

if TYPE_CHECKING:
    import jinja2


def rendered(template: str, **shown: Any) -> bytes:
    """A page's bytes.

    Args:
        template: its file in ``web/templates``.
        shown: what the template reads.
    """
    text: str = _environment().get_template(template).render(**shown)
    return text.encode("utf-8")


def label(code: str) -> str:
    """A code in words, with a capital."""
    return sentence(words(code))


@cache
def _environment() -> "jinja2.Environment":
    import jinja2  # here: plans start without

    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("tuckmark.web", "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.policies["json.dumps_kwargs"] = {"sort_keys": False}  # examples in their own order
    environment.filters |= {
        "pretty": _pretty,
        "pieces": _pieces,
        "words": words,
        "label": label,
        "packed": _packed,
        "plain": _plain,
    }
    return environment


def _pretty(value: Any) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False)


def _pieces(text: str) -> list[tuple[bool, str]]:
    """A sentence in pieces, each with whether it stood between backticks."""
    return [(n % 2 == 1, piece) for n, piece in enumerate(text.split("`")) if piece]


def _packed(spec: Any) -> str | None:
    """The piece of an address that holds a spec; None where it would be too long."""
    return packing.pack(rfc8785.dumps(spec))


def _plain(value: Any) -> str:
    """A cell of a table as people write it."""
    if value is None:
        return ""
    return str(int(value) if isinstance(value, float) and value.is_integer() else value)
