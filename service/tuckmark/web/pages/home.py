"""The page at ``/``: a short form, and the sheet that comes of it."""

from collections.abc import Mapping
from importlib import resources
from typing import Any, Final

from tuckmark import packing, published
from tuckmark.pipeline import Pipeline
from tuckmark.web import links
from tuckmark.web.pages import templates
from tuckmark.web.representations import json_bytes
from tuckmark.web.table import Call

HTML: Final = "text/html"
#: what an end without a splice is chosen for: one that nothing is said of is plain as well
_PLAIN: Final = "Plain end, with rope left for a whipping"
#: an address for people first; programs find the links to everything
OFFERS: Final = (HTML, "application/json")


def show(pipeline: Pipeline, call: Call) -> bytes:
    """The form; for programs, the links to everything."""
    return _page(pipeline) if call.media_type == HTML else json_bytes(links.catalog())


def _page(pipeline: Pipeline) -> bytes:
    families = [family.listing() for family in pipeline.families.values()]
    examples = published.examples()
    return templates.rendered(
        "form.html",
        with_eye=[family["family"] for family in families if _has_eye(family)],
        two_ropes=[family["family"] for family in families if _joins_two(family)],
        choices=_choices(published.schema("splice-spec")["$defs"]),
        examples={name: _title(name, spec) for name, spec in examples.items()},
        data={
            "families": [_fitting(family) for family in families],
            "examples": dict(examples),
            "packing": {"digit": packing.CURRENT, "dictionary": _dictionary()},
        },
    )


def _choices(definitions: Mapping[str, Any]) -> dict[str, list[Any]]:
    """The closed lists of the schema: by names with dots, such as ``eye.form``."""
    found = {name: item["enum"] for name, item in definitions.items() if "enum" in item}
    for name, item in definitions.items():
        found |= _lists_within(name, item)
    return found


def _lists_within(name: str, item: Mapping[str, Any]) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = {}
    for key, part in item.get("properties", {}).items():
        inner = f"{name}.{key}"
        found |= {inner: part["enum"]} if "enum" in part else _lists_within(inner, part)
    return found


def _title(name: str, spec: Any) -> str:
    title: str = spec.get("job", {}).get("description", name)
    return title


def _has_eye(family: Mapping[str, Any]) -> bool:
    ends = family["minimal_spec"].get("ends", {}).values()
    return any(end["splice"] == family["family"] and "eye" in end for end in ends)


def _joins_two(family: Mapping[str, Any]) -> bool:
    return "ropes" in family["minimal_spec"].get("join", {})


def _fitting(family: Mapping[str, Any]) -> dict[str, Any]:
    """What the form needs to know of a splice."""
    name = family["family"]
    return {
        "name": name,
        "label": _PLAIN if name == "plain" else templates.label(name),
        **{key: family[key] for key in ("title", "place", "ropes", "reads")},
    }


def _dictionary() -> str:
    file = resources.files("tuckmark").joinpath("data", f"packing_{packing.CURRENT}.txt")
    return file.read_text(encoding="ascii")
