"""Every view of a plan: one row each."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

import orjson

from tuckmark.render import drawing, marks_table, strip, tag
from tuckmark.render.sheet.html import as_html
from tuckmark.render.sheet.pdf import as_pdf
from tuckmark.render.view import CannotShowError, Format, Showing, View

#: the plan itself: in each format, the view that suits it
PLAN: Final = "plan"


def plan_json(showing: Showing) -> bytes:
    """The whole plan; equal plans give equal bytes."""
    return orjson.dumps(showing.plan, option=orjson.OPT_APPEND_NEWLINE)


#: by the name that ``view`` takes
VIEWS: Final[Mapping[str, View]] = MappingProxyType(
    {
        PLAN: View(
            {
                "json": plan_json,
                "html": as_html,
                "pdf": as_pdf,
                "svg": drawing.as_svg,
                "csv": marks_table.as_csv,
            }
        ),
        "sheet": View({"html": as_html, "pdf": as_pdf}, reads=frozenset({"page"})),
        "marks": View(
            {"csv": marks_table.as_csv, "json": marks_table.as_json},
            reads=frozenset({"end", "part"}),
        ),
        "drawing": View(
            {"svg": drawing.as_svg, "pdf": drawing.as_pdf, "png": drawing.as_png},
            reads=frozenset({"dpi"}),
        ),
        "strip": View(
            {"pdf": strip.as_pdf, "svg": strip.as_svg, "png": strip.as_png},
            reads=frozenset({"width_mm", "dpi", "page", "end", "part", "piece"}),
            of_stopped=False,
        ),
        "tag": View(
            {"pdf": tag.as_pdf, "svg": tag.as_svg, "png": tag.as_png},
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
    for option in sorted(showing.options.given - view.reads):
        detail = f"The view {name} does not heed it."
        raise CannotShowError("not_used_here", detail, option, tuple(sorted(view.reads)))
    if not view.of_stopped and not showing.plan["usable"]:
        stops = [item["message"] for item in showing.plan["warnings"] if item["severity"] == "stop"]
        raise CannotShowError("plan_stopped", " ".join(stops))
    return view.formats[form](showing)
