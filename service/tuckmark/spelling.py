"""Hints for people: how a near miss is spelt right, where the intent is plain."""

import difflib
import re
import unicodedata
from collections.abc import Callable, Iterable
from typing import Final

#: what people write for a unit -> how it is written here; only where nothing else can be meant
_UNIT_WORDS: Final[dict[str, str]] = {
    "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m",
    "inch": "in", "inches": "in", "ins": "in", '"': "in", "\u2033": "in", "in.": "in", "''": "in",
    "foot": "ft", "feet": "ft", "'": "ft", "\u2032": "ft", "ft.": "ft",
    "kn": "kN", "newton": "N", "newtons": "N", "lbs": "lbf", "lb": "lbf", "t": "tf",
    "kg": "kgf", "c": "degC", "°c": "degC", "f": "degF", "°f": "degF",
    "degc": "degC", "degf": "degF", "kg/100 m": "kg/100m", "lb/100 ft": "lb/100ft",
    "lbs/ft": "lb/ft", "lbs/100ft": "lb/100ft",
}  # fmt: skip
#: characters of a text that may still be a quantity misspelt; cut off, it would mean another
_LONGEST: Final = 40
_SPLIT: Final = re.compile(r"\s*([0-9][0-9.,/\s-]*?|-[0-9.]+|\.[0-9]+)\s*([^0-9\s.,/-].*?|)\s*\Z")
_COMPOUND: Final = re.compile(
    r"""\s*([0-9]+)\s*(?:'|\u2032|ft\.?|feet|foot)[\s-]*([0-9][0-9./\s-]*?)\s*(?:"|\u2033|''|in\.?|inch(?:es)?)\s*\Z""",
    re.IGNORECASE,
)
#: fractions that are one character
_ONE_CHARACTER: Final = re.compile("[\u00bc-\u00be\u2150-\u215e]")

#: trade words for what a spec names otherwise
_TRADE_WORDS: Final[dict[str, str]] = {
    "left": "s",
    "right": "z",
    "left_hand": "s",
    "right_hand": "z",
}


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known name that a misspelt one most likely means, if any is close."""
    known = list(known)
    plain = word.lower().replace(" ", "_").replace("-", "_")
    if _TRADE_WORDS.get(plain) in known:
        return _TRADE_WORDS[plain]
    found = difflib.get_close_matches(plain, known, cutoff=0.7)
    return found[0] if found else None


def did_you_mean(word: str, known: Iterable[str]) -> str | None:
    """A hint at the known name that is most likely meant, if any is close."""
    meant = nearest(word, known)
    return f"Did you mean {meant}?" if meant else None


def quantity(given: str, units: tuple[str, ...], accepts: Callable[[str], bool]) -> str | None:
    """The accepted spelling of a quantity, if the intent is plain.

    Args:
        given: what stands in the document.
        units: the units this kind of quantity takes.
        accepts: the published schema's own verdict on a candidate: a hint is never
            anything that would be refused again.
    """
    if len(given) > _LONGEST:
        return None
    given = _in_figures(given)
    if compound := _COMPOUND.match(given):
        candidates = [f"{compound[1]} ft {_number(compound[2])} in"]
    elif match := _SPLIT.match(given):
        number, unit = _number(match[1]), _unit(match[2], units)
        if unit is None:
            return None
        candidates = [f"{number} {unit}"]
    else:
        return None
    return next((text for text in candidates if accepts(text)), None)


def advice(given: str, units: tuple[str, ...]) -> str | None:
    """What is wrong with a quantity's text, where no one spelling is plainly meant."""
    if len(given) > _LONGEST:
        return None
    text = given.strip()
    if re.fullmatch(r"[0-9./ ]+", text):
        return f'Write the unit, such as "{text} {units[0]}".'
    if re.fullmatch(r"[0-9]+,[0-9]+ ?[^0-9]*", text):
        return "A comma may divide thousands or decimals: write a point for decimals, and no group."
    if re.match(r"[-+]", text) and "degC" not in units:
        return "Write it without a sign."
    if re.match(r"[0-9]*\.[0-9]*\s*(?:'|\u2032|ft\.?|feet|foot)\s*[0-9]", text):
        return "Feet that inches follow are whole: put the rest of them into the inches."
    if re.search(r"[0-9]e[+-]?[0-9]", text):
        return "Write it out, without an exponent."
    return None


def _in_figures(text: str) -> str:
    """Fractions that are one character, such as \u215d, in figures; raised figures are left."""
    text = _ONE_CHARACTER.sub(lambda found: " " + unicodedata.normalize("NFKC", found[0]), text)
    return text.replace("\u2044", "/")


def _number(text: str) -> str:
    number = re.sub(r"[\s-]+", " ", text.strip()) if not text.startswith("-") else text.strip()
    number = re.sub(r"\s*/\s*", "/", number)
    if number.startswith("."):
        number = "0" + number
    if re.fullmatch(r"0+[0-9]+(\.[0-9]+)?", number):
        number = number.lstrip("0") if not number.lstrip("0").startswith(".") else number
    return re.sub(r"^0+ (?=[0-9]+/)", "", number).rstrip(".")


def _unit(text: str, units: tuple[str, ...]) -> str | None:
    text = text.strip()
    if text in units:
        return text
    word = _UNIT_WORDS.get(text.lower())
    if word in units:
        return word
    alike = [unit for unit in units if unit.lower() == text.lower()]
    return alike[0] if len(alike) == 1 else None
