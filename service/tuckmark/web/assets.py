"""Style sheets, scripts and fonts of our own pages: nothing is fetched from elsewhere."""

from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final

from tuckmark.web.table import Parameters

_KINDS: Final = {"css": "text/css", "js": "text/javascript", "woff2": "font/woff2"}
MEDIA_TYPES: Final = tuple(_KINDS.values())


@cache
def files() -> Mapping[str, bytes]:
    """Every asset's bytes by its name."""
    folders = (
        resources.files("tuckmark.web").joinpath("files"),
        resources.files("tuckmark.render").joinpath("fonts"),
        resources.files("tuckmark.render").joinpath("sheet"),
    )
    found = {
        entry.name: entry.read_bytes()
        for folder in folders
        for entry in sorted(folder.iterdir(), key=lambda entry: entry.name)
        if entry.name.rpartition(".")[2] in _KINDS
    }
    return MappingProxyType(found)


def offers(parameters: Parameters) -> tuple[str, ...]:
    """The one media type of an asset; all of them for a name that is not known."""
    kind = str(parameters["name"]).rpartition(".")[2]
    return (_KINDS[kind],) if kind in _KINDS else MEDIA_TYPES
