"""Orders and reels as a loft sends them: what is cut, what is refused, how lengths are read."""

import copy
from collections.abc import Callable
from typing import Any

import pytest

from tuckmark import published
from tuckmark.cutting.request import MOST_PIECES
from tuckmark.pipeline import default_pipeline

Json = dict[str, Any]
Cut = Callable[[Json], Json]
RefusedFor = Callable[[Json], dict[str, list[str]]]

PENDANT = published.examples()["towing-pendant"]  # cut length 22,604.4 mm, four of them
JOIN = published.examples()["joined-messenger-line"]  # ropes of 12 m and 9 m
ROPE = "hmpe 12-strand 24 mm"
REEL = {"id": "new", "rope": ROPE, "length": "100 m"}


def request_of(*orders: Json, reels: tuple[Json, ...] = (REEL,), **more: Any) -> Json:
    return {"orders": list(orders), "reels": list(reels), **more}


def order(name: str = "A", **more: Any) -> Json:
    return {"id": name, "rope": ROPE, **more}


def changed(spec: Json, **sections: Any) -> Json:
    return copy.deepcopy(spec) | sections


def pieces(report: Json) -> list[tuple[str, str | None, float]]:
    return [
        (piece["order"], piece["part"], piece["length"]["mm"])
        for reel in report["cuts"]
        for piece in reel["pieces"]
    ]


def test_a_spec_is_cut_to_its_plans_cut_length_as_often_as_its_job_says(cut: Cut) -> None:
    report = cut(request_of(order(spec=PENDANT)))
    assert pieces(report) == [("A", None, 22604.4)] * 4  # the contract's worked example
    assert report["orders"][0]["quantity"] == 4
    without_job = {key: value for key, value in PENDANT.items() if key != "job"}
    assert len(pieces(cut(request_of(order(spec=without_job))))) == 1
    assert len(pieces(cut(request_of(order(spec=without_job, quantity=3))))) == 3


def test_a_join_is_two_pieces_as_long_as_its_ropes(cut: Cut) -> None:
    report = cut(request_of(order(spec=JOIN, quantity=1)))
    assert pieces(report) == [("A", "a", 12000.0), ("A", "b", 9000.0)]


def test_a_join_is_not_cut_in_half(cut: Cut) -> None:
    twenty = {**REEL, "length": "20 m"}
    report = cut(request_of(order(spec=JOIN), reels=(twenty,)))
    assert report["cuts"] == []
    (unmade,) = report["unmade"]
    assert (unmade["quantity"], unmade["reason"]) == (1, "not_enough_rope")
    assert unmade["more_rope"]["mm"] == 21000.0
    assert unmade["longest_piece"]["mm"] == 12000.0


def test_where_each_piece_lies(cut: Cut) -> None:
    # 2 x (30,000 + 10) + 30,000 + 10 = 90,030; 9,970 are left
    report = cut(request_of(order(length="30 m", quantity=3), allowance="10 mm", keep_from="9 m"))
    (reel,) = report["cuts"]
    along = [(piece["from"]["mm"], piece["to"]["mm"]) for piece in reel["pieces"]]
    assert along == [(0.0, 30000.0), (30010.0, 60010.0), (60020.0, 90020.0)]
    assert (reel["offcut"]["mm"], reel["kept"], reel["waste"]["mm"]) == (9970.0, True, 30.0)
    assert (reel["reel"], reel["copy"], reel["remnant"]) == ("new", 1, False)


def test_copies_of_a_reel_are_told_apart(cut: Cut) -> None:
    report = cut(
        request_of(
            order(length="60 m", quantity=3), reels=(REEL | {"quantity": 2}, REEL | {"id": "other"})
        )
    )
    assert [(reel["reel"], reel["copy"]) for reel in report["cuts"]] == [
        ("new", 1), ("new", 2), ("other", 1),
    ]  # fmt: skip
    assert report["reels_used"] == 3


def test_ropes_of_different_names_never_mix(cut: Cut) -> None:
    report = cut(
        request_of(
            order(length="10 m"),
            {"id": "B", "rope": ROPE.upper(), "length": "10 m"},
            {"id": "C", "rope": "polyester", "length": "10 m"},
            reels=(REEL, {"id": "p", "rope": "polyester", "length": "9 m"}),
        )
    )
    assert pieces(report) == [("A", None, 10000.0)]
    assert {item["order"]: item["reason"] for item in report["unmade"]} == {
        "B": "no_reel_of_this_rope",
        "C": "longer_than_any_reel",
    }
    assert report["proven"] is True
    assert [rope["rope"] for rope in report["ropes"]] == [ROPE, ROPE.upper(), "polyester"]
    lacking = [rope["goals"][0]["value"]["mm"] for rope in report["ropes"]]
    assert lacking == [0.0, 10000.0, 10000.0]


@pytest.mark.parametrize(
    ("length", "mm"),
    [
        ("30.00004 m", 30000.0),  # as it is printed: to one tenth
        ("30.00005 m", 30000.1),
        ("1 in", 25.4),
        ("5/8 in", 15.9),  # 15.875
        ({"value": 30, "unit": "m"}, 30000.0),
    ],
)
def test_a_piece_is_as_long_as_it_is_printed(cut: Cut, length: Any, mm: float) -> None:
    assert pieces(cut(request_of(order(length=length)))) == [("A", None, mm)]


def test_no_rope_is_reckoned_with_that_is_not_there(cut: Cut) -> None:
    reels = (REEL | {"length": "1001/64 in"},)  # 397.271875 mm: 397.2 is there, 397.3 is not
    report = cut(request_of(order(length="397.2 mm"), reels=reels))
    assert report["cuts"][0]["length"]["mm"] == 397.2
    report = cut(request_of(order(length="397.3 mm"), reels=reels))
    assert report["unmade"][0]["reason"] == "longer_than_any_reel"
    # a cut of 0.11 mm takes 0.2, and an offcut of 3.91 is wanted, not of 3.9
    report = cut(
        request_of(order(length="393.1 mm"), reels=reels, allowance="0.11 mm", keep_from="3.91 mm")
    )
    assert (report["allowance"]["mm"], report["keep_from"]["mm"]) == (0.2, 4.0)
    assert (report["cuts"][0]["offcut"]["mm"], report["cuts"][0]["kept"]) == (3.9, False)


def test_lengths_in_inches(cut: Cut) -> None:
    report = cut(request_of(order(length="12 ft 3 1/2 in"), display={"units": "inch"}))
    assert report["cuts"][0]["pieces"][0]["length"] == {"mm": 3746.5, "text": "12 ft 3 1/2 in"}
    fine = {"units": "inch", "inch_fraction": 64}
    report = cut(request_of(order(length="2 1/64 in"), display=fine))
    assert report["cuts"][0]["pieces"][0]["length"]["text"] == "2 1/64 in"


HALYARD = published.examples()["core-carried-halyard"]
LAID = published.examples()["mooring-pendant-nylon-laid"]


def of_rope(base: Json, **facts: Any) -> Json:
    """The same job in rope of which other things are said; None leaves a fact out."""
    rope = {key: value for key, value in (base["rope"] | facts).items() if value is not None}
    return changed(base, rope=rope)


@pytest.mark.parametrize(
    ("base", "fact", "one", "other"),
    [
        (PENDANT, "coating", "coated", "uncoated"),
        (PENDANT, "condition", "new", "used"),
        (PENDANT, "pitch", "230 mm", "231 mm"),
        (PENDANT, "fid_length", "510 mm", "500 mm"),
        (PENDANT, "linear_density", "0.29 kg/m", "0.3 kg/m"),
        (PENDANT, "breaking_strength", {"force": "480 kN", "basis": "unspliced"},
         {"force": "470 kN", "basis": "unspliced"}),
        (PENDANT, "breaking_strength", {"force": "480 kN", "basis": "unspliced"},
         {"force": "480 kN", "basis": "spliced"}),
        (PENDANT, "bury_shortening", 0.05, 0.06),
        (PENDANT, "bedding_in", 0.01, 0.02),
        (HALYARD, "core_fibre", "hmpe", "aramid"),
        (HALYARD, "core_diameter", "9 mm", "9.5 mm"),
        (LAID, "lay", "z", "s"),
        (LAID, "lay_length", "52 mm", "54 mm"),
    ],
)  # fmt: skip
def test_one_rope_is_not_two_in_any_fact(
    cut: Cut, refused: RefusedFor, base: Json, fact: str, one: Any, other: Any
) -> None:
    """A reel has one coating, one core, one strength (common practice, no source)."""
    first = order("A", spec=of_rope(base, **{fact: one}))
    second = order("B", spec=of_rope(base, **{fact: other}))
    assert refused(request_of(first, second)) == {
        "cutlist_refused": ["/orders/1/rope ropes_disagree"]
    }
    cut(request_of(first, first | {"id": "B"}))
    cut(request_of(first, second | {"rope": "another"}))


def test_what_a_spec_leaves_out_is_a_difference_where_lengths_hang_on_it(
    cut: Cut, refused: RefusedFor
) -> None:
    """By a pitch of 200 mm more of the body is taken than by the table's 9.7 d, 232.8 mm."""
    by_table, measured = (
        order(name, spec=of_rope(PENDANT, pitch=pitch))
        for name, pitch in (("A", None), ("B", "200 mm"))
    )
    assert refused(request_of(by_table, measured)) == {
        "cutlist_refused": ["/orders/1/rope ropes_disagree"]
    }
    strengths = [
        order(name, spec=of_rope(PENDANT, breaking_strength=given))
        for name, given in (("A", None), ("B", PENDANT["rope"]["breaking_strength"]))
    ]
    assert cut(request_of(*strengths))["unmade"]


def test_one_rope_said_in_two_units_is_one(cut: Cut) -> None:
    measured = ("pitch", "fid_length", "linear_density", "breaking_strength")
    orders = [
        order(name, spec=of_rope(PENDANT, size=size, **dict.fromkeys(measured)))
        for name, size in (("A", {"diameter": "1 in"}), ("B", {"diameter": "25.4 mm"}))
    ]
    report = cut(request_of(*orders, reels=(REEL | {"quantity": 2},)))
    assert len(pieces(report)) == 2 * PENDANT["job"]["quantity"]


@pytest.mark.parametrize(
    ("request_", "expected"),
    [
        pytest.param(
            request_of(order(length="1 m"), order(length="2 m"), reels=(REEL, REEL)),
            {"cutlist_refused": ["/orders/1/id repeated_id", "/reels/1/id repeated_id"]},
            id="ids",
        ),
        pytest.param(
            request_of(order(spec=PENDANT, quantity=5)),
            {"cutlist_refused": ["/orders/0/quantity quantities_disagree"]},
            id="quantities",
        ),
        pytest.param(
            request_of(order(spec=PENDANT), order("B", spec=JOIN)),
            {"cutlist_refused": ["/orders/1/rope ropes_disagree"]},
            id="ropes",
        ),
        pytest.param(
            request_of(
                order(
                    spec=changed(
                        PENDANT,
                        ends=PENDANT["ends"] | {"b": PENDANT["ends"]["b"] | {"stitching": "none"}},
                    )
                )
            ),
            {"cutlist_refused": ["/orders/0/spec plan_says_stop"]},
            id="stop",
        ),
        pytest.param(
            request_of(order(spec=published.examples()["messenger-eye-marks-only"])),
            {"cutlist_refused": ["/orders/0/spec cut_length_needed"]},
            id="marks only",
        ),
        pytest.param(
            request_of(order(spec=published.examples()["anchor-line-plait-guidance"])),
            {"cutlist_refused": ["/orders/0/spec cut_length_needed"]},
            id="guidance only",
        ),
        pytest.param(
            request_of(
                order(
                    spec=changed(
                        JOIN,
                        join={"splice": "end_to_end_bury", "ropes": [{}, {}]},
                        length={"finished": "20 m"},
                    )
                )
            ),
            {"cutlist_refused": ["/orders/0/spec/join join_lengths_needed"]},
            id="the whole of a join only",
        ),
        pytest.param(
            request_of(order(spec=changed(PENDANT, length={"finished": "1 m"}))),
            {"cutlist_refused": ["/orders/0/spec/length/finished buries_meet"]},
            id="no plan",
        ),
        pytest.param(
            request_of(order(length="21 km"), order("B", length="0.01 mm")),
            {"cutlist_invalid": ["/orders/0/length not_a_quantity"]},
            id="not a length",
        ),
        pytest.param(
            request_of(
                order(length="20001 m"),
                order("B", length="0.01 mm"),
                order("C", length="20000 m"),
                reels=(REEL | {"length": "20001 m"},),
            ),
            {
                "cutlist_refused": [
                    "/orders/0/length length_outside_range",
                    "/orders/1/length length_outside_range",
                    "/reels/0/length length_outside_range",
                ]
            },
            id="lengths beyond any rope",
        ),
        pytest.param(
            request_of(order(length="1 m", quantity=MOST_PIECES), order("B", length="1 m")),
            {"cutlist_refused": ["/orders too_many_pieces"]},
            id="pieces",
        ),
        pytest.param(
            request_of(order(length="1 m", spec=PENDANT), order("B"), {"id": "C"}),
            {
                "cutlist_invalid": [
                    "/orders/0 only_one_allowed",
                    "/orders/1 one_needed",
                    "/orders/2 missing",
                    "/orders/2 one_needed",
                ]
            },
            id="neither or both of length and spec",
        ),
        pytest.param(
            request_of(order(spec=changed(PENDANT, ropes={})), time_budget_s=21, knots=1),
            {
                "cutlist_invalid": [
                    "/orders/0/spec/ropes unknown_property",
                    "/time_budget_s too_large",
                    "/knots unknown_property",
                ]
            },
            id="faults in a spec and beside it",
        ),
    ],
)
def test_refusals(refused: RefusedFor, request_: Json, expected: dict[str, list[str]]) -> None:
    assert refused(request_) == expected


def test_as_many_pieces_as_are_allowed(cut: Cut) -> None:
    many = request_of(order(length="1 m", quantity=MOST_PIECES), reels=(REEL | {"quantity": 100},))
    report = cut(many)
    assert (report["reels_used"], report["proven"]) == (100, True)
    assert report["ropes"][0]["pieces"] == MOST_PIECES


def test_a_planned_length_is_told_as_its_plan_tells_it(cut: Cut) -> None:
    """22,604.46 mm is 22.604 m; its tenth of a millimetre, 22,604.5, alone would make 22.605 m."""
    spec = changed(PENDANT, length={"finished": "18000.02 mm"})
    told = default_pipeline().plan(spec)["lengths"]["cut"]
    assert (told["mm"], told["text"]) == (22604.5, "22.604 m")
    report = cut(request_of(order(spec=spec)))
    piece = report["cuts"][0]["pieces"][0]
    assert piece["length"] == piece["to"] == report["orders"][0]["pieces"][0]["length"]
    assert piece["length"] == {"mm": 22604.5, "text": "22.604 m"}
    # in other units than the plan's it is written anew
    report = cut(request_of(order(spec=spec), display={"units": "inch"}))
    assert report["cuts"][0]["pieces"][0]["length"]["text"] == "74 ft 1 15/16 in"


def test_a_rope_of_a_join_is_rounded_once(cut: Cut) -> None:
    spec = changed(JOIN)
    spec["join"]["ropes"] = [{"length": "12000.46 mm"}, {"length": "9 m"}]
    report = cut(request_of({"id": "J", "rope": ROPE, "spec": spec}))
    texts = {piece["part"]: piece["length"]["text"] for piece in report["cuts"][0]["pieces"]}
    assert texts == {"a": "12.000 m", "b": "9000 mm"}
