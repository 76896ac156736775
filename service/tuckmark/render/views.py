"""Every view of a plan: one row each."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import orjson

from tuckmark.render.view import CannotShowError, Format, Showing, View, on_use

#: the plan itself: in each format, the view that suits it
PLAN: Final = "plan"
#: sheet, drawing and the others are loaded when they are first asked for
_SHEET, _MARKS, _DRAWING, _STRIP, _TAG = (
    f"tuckmark.render.{name}" for name in ("sheet", "marks_table", "drawing", "strip", "tag")
)


def plan_json(showing: Showing) -> bytes:
    """The whole plan; equal plans give equal bytes."""
    return orjson.dumps(showing.plan, option=orjson.OPT_APPEND_NEWLINE)


#: by the name that ``view`` takes
VIEWS: Final[Mapping[str, View]] = MappingProxyType(
    {
        PLAN: View(
            {
                "json": plan_json,
                "html": on_use(f"{_SHEET}.html", "as_html"),
                "pdf": on_use(f"{_SHEET}.pdf", "as_pdf"),
                "svg": on_use(_DRAWING, "as_svg"),
                "csv": on_use(_MARKS, "as_csv"),
            }
        ),
        "sheet": View(
            {
                "html": on_use(f"{_SHEET}.html", "as_html"),
                "pdf": on_use(f"{_SHEET}.pdf", "as_pdf"),
            },
            reads=frozenset({"page"}),
        ),
        "marks": View(
            {
                "csv": on_use(_MARKS, "as_csv"),
                "json": on_use(_MARKS, "as_json"),
            },
            reads=frozenset({"end", "part"}),
        ),
        "drawing": View(
            {
                "svg": on_use(_DRAWING, "as_svg"),
                "pdf": on_use(_DRAWING, "as_pdf"),
                "png": on_use(_DRAWING, "as_png"),
            },
            reads=frozenset({"dpi"}),
        ),
        "strip": View(
            {
                "pdf": on_use(_STRIP, "as_pdf"),
                "svg": on_use(_STRIP, "as_svg"),
                "png": on_use(_STRIP, "as_png"),
            },
            reads=frozenset({"width_mm", "dpi", "page", "end", "part", "piece"}),
            of_stopped=False,
        ),
        "tag": View(
            {
                "pdf": on_use(_TAG, "as_pdf"),
                "svg": on_use(_TAG, "as_svg"),
                "png": on_use(_TAG, "as_png"),
            },
            reads=frozenset({"width_mm", "height_mm", "dpi"}),
            of_stopped=False,
        ),
    }
)


def show(name: str, form: Format, showing: Showing) -> bytes:
    """A view's bytes.

    Args:
        name: a key of ``VIEWS``.
        form: one of the view's formats.
        showing: the plan and how it is wanted.

    Raises:
        CannotShowError: the plan or an option does not allow it.
    """
    view = VIEWS[name]
    heeded = view.heeds(form)
    for option in sorted(showing.options.given - heeded):
        detail = f"The view {name} as {form} does not heed it."
        raise CannotShowError("not_used_here", detail, option, tuple(sorted(heeded)))
    if not view.of_stopped and not showing.plan["usable"]:
        stops = [item["message"] for item in showing.plan["warnings"] if item["severity"] == "stop"]
        raise CannotShowError("plan_stopped", " ".join(stops))
    return view.formats[form](showing)
