"""Options of the views: what the description says each view takes is taken, the next is not."""

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.render import strip, tag
from tuckmark.render.views import PLAN, VIEWS

AssertProblem = Callable[..., dict[str, Any]]
PATHS = json.loads(published.openapi())["paths"]
PARAMETERS = {
    item["name"]: item for item in PATHS["/v1/plans"]["post"]["parameters"] if "name" in item
}
NAMED = [name for name in VIEWS if name != PLAN]
#: with marks at end b of a strand alone, so few that the narrowest strip holds them
FEW = "bell-rope-back-splice"
FEW_MARKS = "&end=b&part=strand"


def posted(client: FlaskClient, query: str, name: str = "towing-pendant") -> Any:
    return client.post(f"/v1/plans?{query}", json=published.examples()[name])


@pytest.fixture
def allowed(client: FlaskClient, assert_problem: AssertProblem) -> Callable[..., Any]:
    """What the refusal of a query says is allowed instead."""

    def found(query: str, parameter: str, name: str = "towing-pendant") -> Any:
        body = assert_problem(posted(client, query, name), 400, "parameter_invalid")
        (item,) = body["errors"]
        assert item["parameter"] == parameter
        return item["allowed"]

    return found


def test_dots_per_inch(client: FlaskClient, allowed: Callable[..., Any]) -> None:
    assert PARAMETERS["dpi"]["schema"] == {"type": "integer", "enum": [203, 300]}
    for view in ("drawing", "strip", "tag"):
        query = f"view={view}&format=png&dpi="
        more = "&piece=1" if view == "strip" else ""
        for dpi in PARAMETERS["dpi"]["schema"]["enum"]:
            assert posted(client, f"{query}{dpi}{more}").status_code == 200
        for dpi in ("202", "204", "299", "301", "72", "600", "203.0", ""):
            assert allowed(f"{query}{dpi}{more}", "dpi") == ["203", "300"]


@pytest.mark.parametrize("view", ["strip", "tag"])
def test_what_stops_a_plan_is_told_where_it_stands(
    client: FlaskClient, assert_problem: AssertProblem, view: str
) -> None:
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    spec["ends"]["b"]["stitching"] = "none"
    answer = client.post(f"/v1/plans?view={view}&format=pdf", json=spec)
    (item,) = assert_problem(answer, 422, "plan_stopped")["errors"]
    assert (item["pointer"], item["code"]) == ("/ends/b/stitching", "straight_bury_unstitched")
    assert item["hint"]


def test_the_width_of_a_strip(client: FlaskClient, allowed: Callable[..., Any]) -> None:
    assert "of a strip 12 to 110, 25 unless given" in PARAMETERS["width_mm"]["description"]
    assert strip.DEFAULT_WIDTH_MM == 25
    query = "view=strip&format=svg" + FEW_MARKS + "&width_mm="
    for width_mm in (12, 110):
        assert posted(client, f"{query}{width_mm}", FEW).status_code == 200
    assert allowed(f"{query}111", "width_mm", FEW) == "12 to 110"
    for width_mm in (11, 201):
        assert (
            allowed(f"{query}{width_mm}", "width_mm", FEW) == "12 to 110 (strip), 12 to 200 (tag)"
        )


def test_the_size_of_a_tag(client: FlaskClient, allowed: Callable[..., Any]) -> None:
    assert "of a tag at most 200, 100 unless given" in PARAMETERS["width_mm"]["description"]
    assert "50 unless given" in PARAMETERS["height_mm"]["description"]
    assert (tag.DEFAULT_WIDTH_MM, tag.DEFAULT_HEIGHT_MM) == (100, 50)
    assert posted(client, "view=tag&width_mm=200&height_mm=200").status_code == 200
    assert "12 to 200 (tag)" in allowed("view=tag&width_mm=201", "width_mm")
    for height_mm in (19, 201):
        assert allowed(f"view=tag&height_mm={height_mm}", "height_mm") == "20 to 200"
    least = allowed("view=tag&height_mm=20", "height_mm").split(" to ")[0]
    assert posted(client, f"view=tag&height_mm={least}").status_code == 200


def test_the_bounds_are_no_wider_than_some_view_takes() -> None:
    schemas = {name: item["schema"] for name, item in PARAMETERS.items()}
    assert schemas["width_mm"] == {"type": "integer", "minimum": 12, "maximum": 200}
    assert schemas["height_mm"] == {"type": "integer", "minimum": 20, "maximum": 200}


def test_the_pieces_of_a_strip(client: FlaskClient, allowed: Callable[..., Any]) -> None:
    query = "view=strip&format=svg&piece="
    least, most = map(int, allowed(f"{query}500", "piece").split(" to "))
    for piece in range(least, most + 1):
        assert posted(client, f"{query}{piece}").status_code == 200
    assert allowed(f"{query}{most + 1}", "piece") == f"{least} to {most}"
    assert allowed(f"{query}0", "piece") == "1 to 500"


@pytest.mark.parametrize("view", list(VIEWS))
def test_the_formats_of_each_view(
    client: FlaskClient, allowed: Callable[..., Any], view: str
) -> None:
    (said,) = [
        part.split(": ")[1].rstrip(".").split(", ")
        for part in PARAMETERS["format"]["description"].split("first: ")[1].split("; ")
        if part.startswith(f"{view}: ")
    ]
    query = "" if view == PLAN else f"view={view}&piece=1&" if view == "strip" else f"view={view}&"
    for form in PARAMETERS["format"]["schema"]["enum"]:
        if form in said:
            assert posted(client, f"{query}format={form}").status_code == 200
        else:
            assert allowed(f"{query}format={form}", "format") == said


@pytest.mark.parametrize("option", ["page", "end", "part", "width_mm", "height_mm", "dpi", "piece"])
def test_every_option_names_the_views_that_take_it(
    client: FlaskClient, allowed: Callable[..., Any], option: str
) -> None:
    parameter = PARAMETERS[option]
    said = parameter["description"].split("Views: ")[1].rstrip(".").split(", ")
    for view in NAMED:
        query = f"view={view}&{option}={parameter['example']}"
        if option == "dpi" and "png" in VIEWS[view].formats:
            query += "&format=png&piece=1" if view == "strip" else "&format=png"
        if view in said:
            assert posted(client, query).status_code == 200
        else:
            assert option not in allowed(query, option)


def test_an_address_of_the_plan_alone_offers_what_the_plan_has() -> None:
    by_name = {item.get("name"): item for item in PATHS["/v1/plans/{packed}"]["get"]["parameters"]}
    assert by_name["format"]["schema"]["enum"] == ["json", "html", "pdf", "svg", "csv"]
