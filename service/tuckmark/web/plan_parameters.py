"""Parameters of every operation that shows a plan."""

from typing import Final

from tuckmark.render.excerpt import ALWAYS_SHOWN, PLAN_KEYS
from tuckmark.render.view import CHOICES, MEDIA_TYPES, RANGES
from tuckmark.render.views import PLAN, VIEWS
from tuckmark.web.table import Parameter

FORMAT: Final = Parameter(
    "format",
    "query",
    "How the plan is to be shown; wins over Accept.",
    "choice",
    "json",
    allowed=tuple(MEDIA_TYPES),
)
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
    allowed=tuple(name for name in VIEWS if name != PLAN),
)
_NUMBERS: Final = {
    "width_mm": ("Width of a strip or tag.", 25),
    "height_mm": ("Height of a tag.", 50),
    "dpi": ("Dots per inch of a PNG.", 203),
    "piece": ("Only this page of those that a strip's PDF would have: a picture shows one.", 1),
}
_WORDS: Final = {
    "page": ("Paper; a strip without it is continuous.", "a4"),
    "end": ("Only the marks of this end.", "a"),
    "part": ("Only the marks of this part of the rope.", "rope"),
}
VIEW_OPTIONS: Final = (
    *(
        Parameter(
            name, "query", text, "integer", example, least=RANGES[name][0], most=RANGES[name][1]
        )
        for name, (text, example) in _NUMBERS.items()
    ),
    *(
        Parameter(name, "query", text, "choice", example, allowed=CHOICES[name])
        for name, (text, example) in _WORDS.items()
    ),
)
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
OF_ADDRESS: Final = (PACKED, FORMAT, FIELDS, MADE)
OF_VIEW: Final = (PACKED, _NAME, FORMAT, MADE, *VIEW_OPTIONS)
