"""Every number the service knows, each with its unit, source, place and confidence.

The numbers live in ``data/``: one CSV per topic and ``sources.json``. They are read and
checked once into a frozen `Reference`, whose look-ups know their range.
"""

from tuckmark.reference.figures import (
    DataError,
    Fid,
    Figure,
    Label,
    Source,
    TaperPattern,
)
from tuckmark.reference.layouts import CONFIDENCES, DUTIES, FIBRES, LAYOUTS, UNITS
from tuckmark.reference.loading import default, load
from tuckmark.reference.lookups import Reference

__all__ = [
    "CONFIDENCES",
    "DUTIES",
    "FIBRES",
    "LAYOUTS",
    "UNITS",
    "DataError",
    "Fid",
    "Figure",
    "Label",
    "Reference",
    "Source",
    "TaperPattern",
    "default",
    "load",
]
