"""The plan's codes in a splicer's words."""

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

#: letters that cannot be printed, or that would turn the order in which others are read
_UNPRINTABLE: Final = re.compile("[\x00-\x1f\x7f-\x9f\u202a-\u202e\u2028\u2029\u2066-\u2069\ufeff]")

#: marks set above or below the letter before them
COMBINING: Final = "\u0300-\u036f\u0483-\u0489\u1ab0-\u1aff\u1dc0-\u1dff\u20d0-\u20ff\ufe20-\ufe2f"
#: more of them than any language sets, which would reach into other lines
_STACKED: Final = re.compile(f"([{COMBINING}]{{2}})[{COMBINING}]+")
#: a number and its unit, which belong on one line
_MEASURE: Final = re.compile(
    r"(?<=\d) (?=\d+/\d|(?:mm|m|in|ft|d|kN|lbf|kg|lb|picks?|fids?|deg[CF])\b|%)"
)

#: a place in a spec, as sentences for programs name it
_PLACE: Final = re.compile(r"\brope((?:\.[a-z_]+)+)\b")
_KG_PER_KN: Final = 1000 / 9.80665  # standard gravity, ISO 80000-4

#: by code, or by the dotted place of a figure in its section
WORDS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "single_braid_12": "12-strand single braid",
        "core_dependent_double_braid": "double braid, core carries the load",
        "plaited_8": "8-strand plait",
        "laid_3": "3-strand laid",
        "laid_4": "4-strand laid",
        "hmpe": "HMPE",
        "lcp": "LCP",
        "pbo": "PBO",
        "tucked_eye_12": "tucked eye in 12-strand braid",
        "tucked_short": "short splice",
        "cover_core_eye": "cover-and-core eye",
        "cover_core_end_to_end": "cover-and-core join, end to end",
        "core_bury_eye": "eye buried in the core",
        "plain": "plain end, no splice",
        "stated_spliced_strength": "the strength, stated for spliced rope",
        "within_limit": "working load within the limit",
        "over_limit": "working load OVER the limit",
        "hold.ratio": "hold ratio",
        "hold.low": "hold ratio, low",
        "hold.critical_length": "critical length of the tail",
        "hold.assumed": "hold ratio assumes",
        "allowance.eyes": "in the cut: eyes",
        "allowance.tails": "in the cut: tails",
        "allowance.body": "in the cut: body",
        "allowance.shortening": "in the cut: shortening",
        "allowance.interlock": "in the cut: interlock",
        "allowance.ends": "in the cut: plain ends",
        "mass": "mass of one",
        "total.cut": "cut, all pieces",
        "total.mass": "mass, all pieces",
        "tolerance.given": "tolerance",
        "tolerance.assured": "tolerance assured",
        "of": "strength of",
        "breaking": "breaking strength",
        "basis": "stated for rope that is",
        "assembly": "reckoned strength",
    }
)


def words(code: str) -> str:
    """A code of the plan in words: its own where no better ones are known."""
    return WORDS.get(code, code.replace("_", " ").replace(".", ", "))


def sentence(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def printable(text: str) -> str:
    """Text that may hold words of a spec; letters that cannot be printed become U+FFFD."""
    return _STACKED.sub("\\1\ufffd", _UNPRINTABLE.sub("\ufffd", text))


def prose(text: str) -> str:
    """Sentences of a plan, each number on one line with its unit, places of a spec in words."""
    return _MEASURE.sub("\u00a0", printable(in_words(text)))


def in_words(text: str) -> str:
    """A sentence with ``the rope's diameter`` where it says ``rope.size.diameter``."""
    return _PLACE.sub(lambda found: f"the rope's {words(found[1].rpartition('.')[2])}", text)


def tension_text(tension: Mapping[str, Any]) -> str:
    """A force by hand, with the mass of its weight where newtons would tell a splicer little.

    Args:
        tension: a force as published.
    """
    text: str = tension["text"]
    if not text.endswith(" kN"):
        return text
    about_kg = float(f"{tension['kn'] * _KG_PER_KN:.2g}")
    return f"{text} (about {about_kg:g} kg)"
