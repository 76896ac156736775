"""An accepted document to the typed spec: defaults, values, and the echo of every quantity."""

from typing import Any

from tuckmark import reading, spec

MINIMAL: dict[str, Any] = {
    "schema_version": "1.0",
    "rope": {
        "construction": "single_braid_12",
        "fibre": "hmpe",
        "size": {"diameter": "24 mm"},
    },
    "ends": {
        "a": {
            "splice": "straight_bury_eye",
            "eye": {"form": "flat", "inside_length": "600 mm"},
        }
    },
}

FULL: dict[str, Any] = {
    # on purpose in no order of the schema's
    "use": {"temperature": "86 degF", "working_load": "4 tf", "wet": False, "duty": "towing"},
    "length": {"tolerance": "2 in", "finished": "59 ft 0 in", "state": "after_setting"},
    "ends": {
        "b": {"splice": "plain", "end_allowance": "1 ft"},
        "a": {
            "eye": {
                "inside_length": {"unit": "cm", "value": 45},
                "pin_diameter": "90 mm",
                "form": "pin",
                "captive": "bow shackle",
            },
            "lock": {"picks": [3, 4]},
            "taper": {"pattern": [3, 2, 3]},
            "bury": "1.53 m",
            "splice": "locked_bury_eye",
        },
    },
    "rope": {
        "breaking_strength": {"basis": "spliced", "force": "100000 lbf"},
        "linear_density": "29 kg/100m",
        "pitch": "230 mm",
        "fid_length": "20 in",
        "size": {"circumference": "3 in"},
        "fibre": "hmpe",
        "construction": "single_braid_12",
    },
    "schema_version": "1.0",
    "job": {"quantity": 4, "references": {"drawing": "P-14"}},
    "$schema": "http://127.0.0.1:8000/schema/v1/splice-spec.json",
}


def test_absent_properties_take_the_contracts_defaults() -> None:
    read = reading.to_spec(MINIMAL)
    assert read.rope.coating == "unknown"
    assert read.rope.condition == "new"
    assert read.rope.far_end == "free"
    assert read.rope.pitch is None
    # "24 mm" was read to the millimetre: half of one either way
    assert read.rope.size.diameter == spec.Measured(24.0, resolution_mm=0.5)
    assert read.rope.breaking_strength is None
    assert read.job.quantity == 1
    assert dict(read.job.references) == {}
    assert read.length is None
    assert read.use == spec.Use(None, None, None, None, None)
    assert read.display == spec.Display("metric", 16, "a4")
    assert read.ends is not None
    assert read.ends.b == spec.End(splice="plain", end_allowance_mm=0.0)
    assert (read.ends.alike, read.ends.b_given) == (False, False)
    assert read.ends.a.stitching is None
    assert read.ends.a.taper is None
    assert read.ends.a.lock is None


def test_length_defaults() -> None:
    read = reading.to_spec(MINIMAL | {"length": {"available": "22 m"}})
    assert read.length is not None
    assert read.length.available_mm == 22000.0
    assert read.length.finished_mm is None
    assert read.length.between == "bearing_points"
    assert read.length.state == "as_spliced"
    assert read.length.tolerance_mm is None


def test_taper_is_counted_in_picks_unless_said() -> None:
    document = MINIMAL | {"ends": {"a": MINIMAL["ends"]["a"] | {"taper": {"pattern": [3, 2]}}}}
    read = reading.to_spec(document)
    assert read.ends is not None
    assert read.ends.a.taper == spec.Taper((3, 2), "picks")


def test_values_arrive_in_base_units() -> None:
    read = reading.to_spec(FULL)
    assert read.rope.size == spec.Size(circumference_mm=76.2)
    assert read.rope.fid_length_mm == 508.0
    assert read.rope.linear_density_kg_per_m == 0.29
    # 100000 lbf x 4.4482216152605 N
    assert read.rope.breaking_strength == spec.BreakingStrength(444.82216152605, "spliced")
    assert read.ends is not None
    end = read.ends.a
    assert end.bury_mm == 1530.0
    assert end.lock == spec.Lock((3, 4))
    assert end.taper == spec.Taper((3, 2, 3), "picks")
    assert end.eye == spec.Eye(
        "pin", inside_length=spec.Measured(450.0, 5.0), pin_diameter_mm=90.0, captive="bow shackle"
    )
    assert read.ends.b == spec.End("plain", end_allowance_mm=304.8)
    assert (read.ends.alike, read.ends.b_given) == (False, True)
    assert read.length is not None
    assert read.length.finished_mm == 17983.2
    assert read.length.tolerance_mm == 50.8
    assert read.length.state == "after_setting"
    # 4 x 9.80665 kN; (86 - 32)/1.8
    assert read.use == spec.Use("towing", 39.2266, None, 30.0, wet=False)
    assert read.job.quantity == 4
    assert dict(read.job.references) == {"drawing": "P-14"}


def test_a_measured_length_carries_how_far_it_may_be_off() -> None:
    def pitch(given: Any) -> spec.Measured | None:
        rope = MINIMAL["rope"] | {"pitch": given}
        return reading.to_spec(MINIMAL | {"rope": rope}).rope.pitch

    assert pitch("230 mm") == spec.Measured(230.0, 0.5)
    assert pitch("9.05 in") == spec.Measured(229.87, 0.127)  # 9.05 x 25.4; 0.005 x 25.4
    assert pitch({"value": 23, "unit": "cm"}) == spec.Measured(230.0, 5.0)
    assert pitch({"value": 230, "unit": "mm", "tolerance": 3}) == spec.Measured(230.0, 0.5, 3.0)
    # 230.0 is the same JSON number as 230, and noise of a program is no finer reading
    assert pitch({"value": 230.0, "unit": "mm"}) == spec.Measured(230.0, 0.5)
    noisy = pitch({"value": 229.87000000000003, "unit": "mm"})
    assert noisy is not None
    assert noisy.resolution_mm == 0.005
    # a text has at most six decimals; what a number has beyond them is no reading
    assert pitch({"value": 230.0000001, "unit": "mm"}) == spec.Measured(230.0000001, 0.5)
    assert pitch({"value": 230.000001, "unit": "mm"}) == spec.Measured(230.000001, 0.0000005)
    # 0.1 x 25.4; the tolerance has the unit of its value
    stated = pitch({"value": 9.25, "unit": "in", "tolerance": 0.1})
    assert stated == spec.Measured(234.95, 0.127, 2.54)


def test_both_ends_alike_are_one_spec() -> None:
    read = reading.to_spec(MINIMAL | {"ends": {"both": MINIMAL["ends"]["a"]}})
    assert read.ends is not None
    assert read.ends.alike
    assert read.ends.a is read.ends.b
    assert read.ends.pointer("a") == read.ends.pointer("b") == "/ends/both"


def test_every_quantity_is_echoed_in_the_schemas_order() -> None:
    # by hand: rope (size, fid, pitch, density, strength), end a (eye, bury), end b, length, use
    assert [(q.pointer, q.given, q.kind, q.value) for q in reading.read_as(FULL)] == [
        ("/rope/size/circumference", "3 in", "length", 76.2),
        ("/rope/fid_length", "20 in", "length", 508.0),
        ("/rope/pitch", "230 mm", "length", 230.0),
        ("/rope/linear_density", "29 kg/100m", "mass_per_length", 0.29),
        ("/rope/breaking_strength/force", "100000 lbf", "force", 444.82216152605),
        ("/ends/a/eye/inside_length", {"value": 45, "unit": "cm"}, "length", 450.0),
        ("/ends/a/eye/pin_diameter", "90 mm", "length", 90.0),
        ("/ends/a/bury", "1.53 m", "length", 1530.0),
        ("/ends/b/end_allowance", "1 ft", "length", 304.8),
        ("/length/finished", "59 ft 0 in", "length", 17983.2),
        ("/length/tolerance", "2 in", "length", 50.8),
        ("/use/working_load", "4 tf", "force", 39.2266),
        ("/use/temperature", "86 degF", "temperature", 30.0),
    ]
