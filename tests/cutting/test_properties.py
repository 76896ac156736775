"""Whatever is ordered: no piece lost or cut twice, no reel overrun, ropes not mixed, sums agree.

Only the request and the published report are looked at, in whole tenths of a millimetre.
"""

from collections import Counter
from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

Json = dict[str, Any]

ROPES = st.sampled_from(["red", "blue", "green"])
ORDERS = st.lists(
    st.fixed_dictionaries(
        {
            "rope": ROPES,
            "length": st.integers(1, 600_000).map(lambda tenths: f"{tenths / 10} mm"),
            "quantity": st.integers(1, 30),
        }
    ),
    min_size=1,
    max_size=8,
)
REELS = st.lists(
    st.fixed_dictionaries(
        {
            "rope": ROPES,
            "length": st.integers(1, 2_000_000).map(lambda tenths: f"{tenths / 10} mm"),
            "quantity": st.integers(1, 4),
            "remnant": st.booleans(),
        }
    ),
    min_size=1,
    max_size=6,
)
TENTHS = st.none() | st.integers(1, 100_000).map(lambda tenths: f"{tenths / 10} mm")


def tenths(length: Json) -> int:
    exact = round(length["mm"] * 10)
    assert exact / 10 == length["mm"]
    return exact


def given_tenths(text: str) -> int:
    return round(float(text.removesuffix(" mm")) * 10)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(orders=ORDERS, reels=REELS, allowance=TENTHS, keep_from=TENTHS)
def test_a_cut_list_can_be_cut(
    cut: Callable[[Json], Json],
    orders: list[Json],
    reels: list[Json],
    allowance: str | None,
    keep_from: str | None,
) -> None:
    request: Json = {
        "orders": [{"id": f"o{n}", **each} for n, each in enumerate(orders)],
        "reels": [{"id": f"r{n}", **each} for n, each in enumerate(reels)],
        "time_budget_s": 0.3,
    }
    request |= {"allowance": allowance} if allowance else {}
    request |= {"keep_from": keep_from} if keep_from else {}
    report = cut(request)
    check_reels(request, report)
    check_orders(request, report)
    check_sums(report)


def check_reels(request: Json, report: Json) -> None:
    """No reel overrun or cut twice; pieces in a row, each with its cut; right rope."""
    known = {reel["id"]: reel for reel in request["reels"]}
    orders = {order["id"]: order for order in request["orders"]}
    copies = [(reel["reel"], reel["copy"]) for reel in report["cuts"]]
    assert len(set(copies)) == len(copies)
    allowance = tenths(report["allowance"])
    for reel in report["cuts"]:
        given_reel = known[reel["reel"]]
        assert 1 <= reel["copy"] <= given_reel["quantity"]
        assert tenths(reel["length"]) == given_tenths(given_reel["length"])
        at = 0
        for piece in reel["pieces"]:
            assert orders[piece["order"]]["rope"] == given_reel["rope"] == reel["rope"]
            assert tenths(piece["length"]) == given_tenths(orders[piece["order"]]["length"])
            assert tenths(piece["from"]) == at
            assert tenths(piece["to"]) == at + tenths(piece["length"])
            at = tenths(piece["to"]) + allowance
        assert reel["pieces"]
        assert at + tenths(reel["offcut"]) == tenths(reel["length"])
        keep_from = report["keep_from"]
        worth = keep_from is not None and tenths(reel["offcut"]) >= tenths(keep_from)
        assert reel["kept"] is worth


def check_orders(request: Json, report: Json) -> None:
    """No piece lost, none cut twice: what is cut and what is left out is what was ordered."""
    cut = Counter(piece["order"] for reel in report["cuts"] for piece in reel["pieces"])
    left_out = {item["order"]: item for item in report["unmade"]}
    assert len(left_out) == len(report["unmade"])
    for order, told in zip(request["orders"], report["orders"], strict=True):
        unmade = left_out.get(order["id"], {"quantity": 0})["quantity"]
        assert cut[order["id"]] == told["made"] == order["quantity"] - unmade
        if unmade:
            each = tenths(told["pieces"][0]["length"]) + tenths(report["allowance"])
            item = left_out[order["id"]]
            assert tenths(item["longest_piece"]) == each
            assert tenths(item["more_rope"]) == each * unmade


def check_sums(report: Json) -> None:
    """Each rope's figures are those of its reels, and the whole is that of the ropes."""
    for rope in report["ropes"]:
        reels = [reel for reel in report["cuts"] if reel["rope"] == rope["rope"]]
        parts = {name: tenths(rope[name]) for name in ("used", "made", "kept", "waste")}
        assert parts["used"] == parts["made"] + parts["kept"] + parts["waste"]
        assert parts["used"] == sum(tenths(reel["length"]) for reel in reels)
        assert parts["kept"] == sum(tenths(reel["offcut"]) for reel in reels if reel["kept"])
        assert parts["waste"] == sum(tenths(reel["waste"]) for reel in reels)
        assert rope["pieces"] == sum(len(reel["pieces"]) for reel in reels)
        assert rope["reels_used"] == len(reels)
        unmade, new_rope, waste = rope["goals"]
        assert tenths(waste["value"]) == parts["waste"]
        opened = sum(tenths(reel["length"]) for reel in reels if not reel["remnant"])
        assert tenths(new_rope["value"]) == opened
        lacking = [
            item["quantity"] * (tenths(item["longest_piece"]) - tenths(report["allowance"]))
            for item in report["unmade"]
            if item["rope"] == rope["rope"]
        ]
        assert tenths(unmade["value"]) == sum(lacking)
        for goal in rope["goals"]:
            assert tenths(goal["bound"]) <= tenths(goal["value"])
            assert goal["proven"] is (goal["bound"] == goal["value"])
        assert rope["proven"] is all(goal["proven"] for goal in rope["goals"])
    assert tenths(report["waste"]) == sum(tenths(rope["waste"]) for rope in report["ropes"])
    assert tenths(report["bound"]) == sum(
        tenths(rope["goals"][2]["bound"]) for rope in report["ropes"]
    )
    assert report["reels_used"] == len(report["cuts"])
    assert report["proven"] is all(rope["proven"] for rope in report["ropes"])
