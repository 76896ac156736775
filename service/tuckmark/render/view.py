"""What a view is: a plan, as published, made into bytes for people or printers.

A view reads the plan as it stands in JSON and nothing else, so that what is printed is what
was answered.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from importlib import import_module
from typing import Any, Final, Literal

Format = Literal["json", "html", "pdf", "svg", "png", "csv"]
PlanDocument = Mapping[str, Any]

#: how wide a strip may be, and how wide a tag, from least to most
WIDTHS_MM: Final[Mapping[str, tuple[int, int]]] = {"strip": (12, 110), "tag": (12, 200)}
#: what the options that are numbers may be in any view, from least to most
RANGES: Final[Mapping[str, tuple[int, int]]] = {
    "width_mm": (12, 200),
    "height_mm": (20, 200),
    "piece": (1, 500),
}
#: dots per inch of a PNG: what label printers have
DOTS: Final[tuple[int, ...]] = (203, 300)
#: what the options that are words may be
CHOICES: Final[Mapping[str, tuple[str, ...]]] = {
    "page": ("a4", "letter"),
    "end": ("a", "b"),
    "part": ("rope", "cover", "core", "strand"),
}
#: the warning that leads a plan which is not the one that an address was printed with
CHANGED: Final = "changed_since_print"
MEDIA_TYPES: Final[Mapping[Format, str]] = {
    "json": "application/json",
    "html": "text/html",
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "png": "image/png",
    "csv": "text/csv",
}


@dataclass(frozen=True, slots=True)
class Options:
    """How the reader wants a view; None is the view's own default.

    Attributes:
        width_mm: of strip or tag, across the rope.
        height_mm: of the tag.
        dpi: dots per inch of a PNG.
        page: paper; a strip without it is continuous.
        end: only this end's marks.
        part: only this part's marks.
        piece: only this page of those that a PDF would have, from 1.
    """

    width_mm: int | None = None
    height_mm: int | None = None
    dpi: int | None = None
    page: Literal["a4", "letter"] | None = None
    end: Literal["a", "b"] | None = None
    part: Literal["rope", "cover", "core", "strand"] | None = None
    piece: int | None = None

    @property
    def given(self) -> frozenset[str]:
        """Names of the options that are not left to the view."""
        return frozenset(item.name for item in fields(self) if getattr(self, item.name) is not None)


@dataclass(frozen=True, slots=True)
class Showing:
    """One plan to be shown.

    Attributes:
        plan: as published.
        options: how the reader wants it.
        address: where the plan can be had again, whole, for QR codes and links on paper; None
            where the spec is too long for one or the service's public address is not known.
    """

    plan: PlanDocument
    options: Options = field(default_factory=Options)
    address: str | None = None


Renderer = Callable[[Showing], bytes]


def on_use(module: str, function: str) -> Callable[[Any], bytes]:
    """A renderer whose module is loaded when something is first shown by it.

    A service that is asked for plans alone never loads what draws and prints them.
    """

    def render(what: Any) -> bytes:
        shown: bytes = getattr(import_module(module), function)(what)
        return shown

    return render


@dataclass(frozen=True, slots=True)
class View:
    """One way to look at a plan.

    Attributes:
        formats: what it can be had as, the preferred one first.
        reads: names of the options it heeds in some format; others are refused.
        of_stopped: whether it may be made of a plan that says stop.
    """

    formats: Mapping[Format, Renderer]
    reads: frozenset[str] = frozenset()
    of_stopped: bool = True

    def heeds(self, form: Format) -> frozenset[str]:
        """Names of the options it heeds in a format: dots are for what consists of them."""
        return self.reads if form == "png" else self.reads - {"dpi"}

    @property
    def media_types(self) -> tuple[str, ...]:
        """What it can be had as, in the words of ``Accept``."""
        return tuple(MEDIA_TYPES[name] for name in self.formats)


def printed_address(plan: PlanDocument, public_url: str | None) -> str | None:
    """Where a plan can be had again, whole; it names the digest, so that another can be told.

    Args:
        plan: as published.
        public_url: where clients reach the service; None where it is not known.
    """
    printed = plan["links"].get("printed")
    return None if printed is None or public_url is None else public_url + printed


def of_two_ropes(plan: PlanDocument) -> bool:
    """Whether two ropes are joined, so that nothing is cut to the length of both."""
    return "join" in plan and bool(plan["lengths"]["between"].startswith("ends_of"))


def not_as_printed(plan: PlanDocument) -> bool:
    """Whether an address was followed that had been printed with another plan."""
    return any(warning["code"] == CHANGED for warning in plan["warnings"][:1])


class CannotShowError(Exception):
    """A view that cannot be made as asked.

    Attributes:
        code: ``plan_stopped``, or the code of what is wrong with an option.
        parameter: the option it is about; None for the plan itself.
        allowed: what would do.
    """

    def __init__(
        self,
        code: str,
        detail: str,
        parameter: str | None = None,
        allowed: tuple[str, ...] | str | None = None,
    ) -> None:
        super().__init__(detail)
        self.code = code
        self.detail = detail
        self.parameter = parameter
        self.allowed = allowed
