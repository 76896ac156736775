"""Parameters of every operation that shows a plan."""

from typing import Final

from tuckmark.render.excerpt import ALWAYS_SHOWN, PLAN_KEYS
from tuckmark.render.view import CHOICES, DOTS, MEDIA_TYPES, RANGES, WIDTHS_MM
from tuckmark.render.views import PLAN, VIEWS
from tuckmark.web.table import Parameter


def _format(*names: str) -> Parameter:
    """The formats of these views, each told with its own."""
    offered = {form for name in names for form in VIEWS[name].formats}
    of_each = "; ".join(f"{name}: {', '.join(VIEWS[name].formats)}" for name in names)
    return Parameter(
        "format",
        "query",
        "How the answer is to be shown; wins over Accept. By view, the usual one first: "
        f"{of_each}.",
        "choice",
        "json",
        allowed=tuple(form for form in MEDIA_TYPES if form in offered),
    )


_NAMED: Final = tuple(name for name in VIEWS if name != PLAN)
FORMAT: Final = _format(*VIEWS)
FIELDS: Final = Parameter(
    "fields",
    "query",
    "Top-level keys of the plan to keep, comma between; "
    f"{', '.join(sorted(ALWAYS_SHOWN))} always stay.",
    "choices",
    "marks,lengths",
    allowed=PLAN_KEYS,
)
VIEW: Final = Parameter(
    "view",
    "query",
    "What of the plan is to be shown; the whole plan without it.",
    "choice",
    "marks",
    allowed=_NAMED,
)
_TOO_SMALL: Final = "One too small for its words is refused with the least that holds them."
_NUMBERS: Final = {
    "width_mm": (
        "Width in mm: of a strip {strip[0]} to {strip[1]}, 25 unless given; of a tag at most "
        "{tag[1]}, 100 unless given. ".format_map(WIDTHS_MM)
        + _TOO_SMALL,
        100,
    ),
    "height_mm": (f"Height of a tag in mm, 50 unless given. {_TOO_SMALL}", 50),
    "piece": (
        "Only this page of those that a strip's PDF would have: a picture shows one. One that "
        "there is not is refused with how many there are.",
        1,
    ),
}
_WORDS: Final = {
    "page": ("Paper; a strip without it is continuous.", "a4"),
    "end": ("Only the marks of this end.", "a"),
    "part": ("Only the marks of this part of the rope.", "rope"),
}

_DOTS: Final = (
    "Dots per inch of a PNG, 203 unless given, of a drawing 150; no other format heeds it."
)
_RANGE_OF_EACH: Final = {
    "width_mm": ", ".join(f"{low} to {high} ({view})" for view, (low, high) in WIDTHS_MM.items())
}


def _used(text: str, option: str) -> str:
    """What an option means, and the views that heed it; others refuse it."""
    return f"{text} Views: {', '.join(name for name in _NAMED if option in VIEWS[name].reads)}."


VIEW_OPTIONS: Final = (
    *(
        Parameter(
            name, "query", _used(text, name), "integer", example,
            least=RANGES[name][0], most=RANGES[name][1], range=_RANGE_OF_EACH.get(name, ""),
        )
        for name, (text, example) in _NUMBERS.items()
    ),
    Parameter(
        "dpi", "query", _used(_DOTS, "dpi"), "number", 203, allowed=tuple(map(str, DOTS)),
    ),
    *(
        Parameter(name, "query", _used(text, name), "choice", example, allowed=CHOICES[name])
        for name, (text, example) in _WORDS.items()
    ),
)  # fmt: skip
PACKED: Final = Parameter(
    "packed",
    "path",
    "A whole spec, packed as in links.self of a plan.",
    "pattern",
    "1w9-CxtGksDDA3qRA7pIQ164gtgEB1AMsVhQSFXKBfRtg-KcW6SjkJhZlFyvk5-VU4knIhmaobQfcoxD4q3DEgBwiRg1N"
    "0GIUZRjMiOhqGjKeWVsLAA",
    pattern="[0-9][A-Za-z0-9_-]{1,1999}",
)
MADE: Final = Parameter(
    "made",
    "query",
    "The first 16 hexadecimal digits of the digest that was printed with the address.",
    "pattern",
    "869fd6b87434d620",
    pattern="[0-9a-f]{16}",
)
_NAME: Final = Parameter("view", "path", "Name of the view.", "name", "marks")

OF_SPEC: Final = (FORMAT, VIEW, FIELDS, *VIEW_OPTIONS)
OF_ADDRESS: Final = (PACKED, _format(PLAN), FIELDS, MADE)
OF_VIEW: Final = (PACKED, _NAME, _format(*_NAMED), MADE, *VIEW_OPTIONS)
