"""A plain picture of the marks along each part, until the drawing takes its place."""

from tuckmark.render.svg import Picture
from tuckmark.render.view import PlanDocument


def draw(plan: PlanDocument) -> Picture:
    """The marks of each part in their order from its bitter end, evenly spaced."""
    parts = list(dict.fromkeys((mark["end"], mark["part"]) for mark in plan["marks"]))
    picture = Picture(178, 42.0 * max(1, len(parts)), "Marks along the rope", "One line a part.")
    for row, (end, part) in enumerate(parts):
        marks = [mark for mark in plan["marks"] if (mark["end"], mark["part"]) == (end, part)]
        y = 42.0 * row + 34
        picture.line((0, y), (178, y), 0.5)
        picture.text((0, y + 4), f"end {end}, {part}", 2.6, bold=True)
        for n, mark in enumerate(marks, 1):
            x = 178 * n / (len(marks) + 1)
            picture.line((x, y - 2), (x, y + 2))
            said = f"{mark['name']} {mark['distance']['text']}"
            picture.text((x + 1, y - 3), said, 2.6, turned=True)
    return picture
