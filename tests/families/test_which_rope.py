"""Which splice fits which rope: what does not is refused with what does, and that plans."""

import pytest
from flask.testing import FlaskClient
from registry_specs import SPLICES, Json, back_splice_in_double_braid, minimal, splices_of

from tuckmark.families import REGISTRY

#: which splices each rope takes at an end, and as a join
FITS: dict[str, tuple[set[str], set[str]]] = {
    "single_braid_12": (
        {"locked_bury_eye", "straight_bury_eye", "interlocked_eye", "tucked_eye_12"},
        {"end_to_end_bury", "endless_bury_loop"},
    ),
    "double_braid": ({"cover_core_eye", "back_splice"}, {"cover_core_end_to_end"}),
    "core_dependent_double_braid": ({"core_bury_eye"}, set()),
    "laid_3": ({"tucked_eye", "back_splice"}, {"tucked_short", "long_splice"}),
    "laid_4": ({"tucked_eye", "back_splice"}, {"tucked_short", "long_splice"}),
    "plaited_8": ({"plaited_eye"}, {"plaited_end_to_end"}),
}
#: a rope of each construction that all of its splices can be made in
ROPES: dict[str, Json] = {
    "single_braid_12": {"fibre": "polyester"},
    "double_braid": {"fibre": "polyester"},
    "core_dependent_double_braid": {"fibre": "polyester", "core_fibre": "hmpe"},
    "laid_3": {"fibre": "polyester"},
    "laid_4": {"fibre": "polyester"},
    "plaited_8": {"fibre": "polyester", "pitch": "45 mm"},
}

OFFERED = [
    (name, construction)
    for construction, (at_end, as_join) in FITS.items()
    for name in sorted(at_end | as_join)
]
WRONG = [
    (name, construction)
    for name in SPLICES
    for construction in FITS
    if (name, construction) not in OFFERED
]


def rope(construction: str) -> Json:
    return {"construction": construction, "size": {"diameter": "12 mm"}, **ROPES[construction]}


def test_the_table_knows_every_splice() -> None:
    assert set().union(*(ends | joins for ends, joins in FITS.values())) == set(SPLICES)


@pytest.mark.parametrize("name", SPLICES)
def test_it_takes_the_ropes_that_the_trade_makes_it_in(name: str) -> None:
    assert set(REGISTRY[name].ropes) == {rope for one, rope in OFFERED if one == name}


@pytest.mark.parametrize(("name", "construction"), WRONG)
def test_a_wrong_rope_is_refused_with_what_fits_it(
    client: FlaskClient, name: str, construction: str
) -> None:
    spec = minimal(name) | {"rope": rope(construction)}
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 422
    problem = response.json
    assert problem is not None
    assert problem["type"].endswith("/not_plannable")
    (fault,) = [error for error in problem["errors"] if error.get("given") == name]
    assert fault["code"] == "wrong_splice_for_rope"
    place = next(place for place, splice in splices_of(spec).items() if splice == name)
    assert fault["pointer"] == ("/join/splice" if place == "join" else f"/ends/{place}/splice")
    at_end, as_join = FITS[construction]
    assert set(fault["allowed"]) == (as_join if place == "join" else at_end)
    assert all(other in fault["hint"] for other in at_end | as_join)


@pytest.mark.parametrize(("name", "construction"), OFFERED)
def test_what_is_said_to_fit_plans(client: FlaskClient, name: str, construction: str) -> None:
    spec = minimal(name)
    if spec["rope"]["construction"] != construction:
        spec["rope"] = rope(construction)
        if name == "back_splice" and construction == "double_braid":
            spec = back_splice_in_double_braid()
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 200, response.json


@pytest.mark.parametrize("name", SPLICES)
def test_rope_with_a_parallel_core_takes_none(client: FlaskClient, name: str) -> None:
    spec = minimal(name)
    spec["rope"]["construction"] = "parallel_core"
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 422
    assert response.json is not None
    told = [(error["pointer"], error["code"]) for error in response.json["errors"]]
    assert told == [("/rope/construction", "parallel_core_has_no_splice")]
