"""Look-ups: on a row, between rows, at and beyond the ends, and outside what is known."""

import math

import pytest

from tuckmark.reference import DUTIES, FIBRES, DataError, Reference, default, load

JUST = 1e-4  # mm: beyond the look-ups' sense of "the same", far below any rope's


class TestFid:
    # US Coast Guard Auxiliary training text (A) and common practice (C), inches times 25.4.
    @pytest.mark.parametrize(
        ("diameter_mm", "full_mm", "short_mm", "long_mm", "confidence"),
        [
            (6.35, 133.35, 50.8, 88.9, "A"),
            (7.9375, 171.45, 63.5, 107.95, "C"),
            (9.525, 196.85, 76.2, 120.65, "A"),
            (11.1125, 241.3, 88.9, 152.4, "C"),
            (12.7, 279.4, 101.6, 177.8, "A"),
            (14.2875, 311.15, 107.95, 203.2, "C"),
            (15.875, 355.6, 114.3, 241.3, "C"),
            (19.05, 406.4, 120.65, 285.75, "A"),
            (22.225, 482.6, 127.0, 355.6, "A"),
            (25.4, 533.4, 133.35, 400.05, "A"),
        ],
    )
    def test_on_a_row(
        self,
        reference: Reference,
        diameter_mm: float,
        full_mm: float,
        short_mm: float,
        long_mm: float,
        confidence: str,
    ) -> None:
        for nearby_mm in (diameter_mm, diameter_mm + 5e-9, diameter_mm - 5e-9):
            fid = reference.fid(nearby_mm)
            assert (fid.basis, fid.note) == ("row", "")
            assert (fid.full.value, fid.short.value, fid.long.value) == (full_mm, short_mm, long_mm)
            for figure in (fid.full, fid.short, fid.long):
                assert (figure.unit, figure.confidence) == ("mm", confidence)
                assert (figure.low, figure.high) == (None, None)

    def test_24_mm_by_hand(self, reference: Reference) -> None:
        # Between 7/8 in (22.225 mm) and 1 in (25.4 mm), 3.175 mm apart:
        # full 482.6 + (24 - 22.225)/3.175 * 50.8 = 482.6 + 28.4 = 511.0
        # short 127 + 1.775/3.175 * 6.35 = 127 + 3.55 = 130.55
        # long 355.6 + 1.775/3.175 * 44.45 = 355.6 + 24.85 = 380.45
        fid = reference.fid(24)
        assert fid.full.value == pytest.approx(511.0, abs=1e-9)
        assert fid.short.value == pytest.approx(130.55, abs=1e-9)
        assert fid.long.value == pytest.approx(380.45, abs=1e-9)
        assert fid.basis == "interpolated"
        assert fid.note == "interpolated between the rows 7/8 in and 1 in"
        assert {fid.full.confidence, fid.short.confidence, fid.long.confidence} == {"C"}
        assert reference.sources[fid.full.source].kind == "common_practice"

    def test_next_to_a_row_it_says_interpolated(self, reference: Reference) -> None:
        below, above = reference.fid(12.7 - JUST), reference.fid(12.7 + JUST)
        assert below.note == "interpolated between the rows 7/16 in and 1/2 in"
        assert above.note == "interpolated between the rows 1/2 in and 9/16 in"
        # slopes 38.1/1.5875 = 24 and 31.75/1.5875 = 20 mm of fid for each mm of rope
        assert below.full.value == pytest.approx(279.4 - 24 * JUST, abs=1e-9)
        assert above.full.value == pytest.approx(279.4 + 20 * JUST, abs=1e-9)

    def test_above_the_table(self, reference: Reference) -> None:
        # 21 d, short 0.25, long 0.75 of it: 48 mm -> 1008, 252, 756.
        fid = reference.fid(48)
        assert (fid.full.value, fid.short.value, fid.long.value) == (1008, 252, 756)
        assert (fid.basis, fid.full.confidence) == ("above_table", "B")
        assert fid.note == "above 1 in: 21 d, short 0.25 and long 0.75 of it"
        assert reference.fid(25.4 + JUST).basis == "above_table"
        assert reference.fid(25.4 - JUST).basis == "interpolated"

    def test_below_the_table(self, reference: Reference) -> None:
        # 21 d, short 0.38 of it, long the rest: 5 mm -> 105, 39.9, 65.1.
        fid = reference.fid(5)
        assert fid.full.value == 105
        assert fid.short.value == pytest.approx(39.9, abs=1e-9)
        assert fid.long.value == pytest.approx(65.1, abs=1e-9)
        assert (fid.basis, fid.full.confidence) == ("below_table", "C")
        assert fid.note == "below 1/4 in: 21 d, short 0.38 of it and long the rest"
        assert reference.fid(6.35 - JUST).basis == "below_table"
        assert reference.fid(6.35 + JUST).basis == "interpolated"

    @pytest.mark.parametrize("diameter_mm", [0, -1, math.nan, math.inf])
    def test_no_such_rope(self, reference: Reference, diameter_mm: float) -> None:
        with pytest.raises(ValueError, match="no rope has a diameter"):
            reference.fid(diameter_mm)


class TestSizeTolerance:
    # Cordage Institute CI 1308-96, notes 1, 2: 10 % for 3/16-5/16 in, 8 % for 3/8-9/16, else 5 %.
    @pytest.mark.parametrize(
        ("diameter_mm", "share", "confidence"),
        [
            (4.7625, 0.10, "A"),  # 3/16 in
            (7.9375, 0.10, "A"),  # 5/16 in
            (7.9375 + JUST, 0.10, "C"),  # between the classes
            (9.525 - JUST, 0.10, "C"),
            (9.525, 0.08, "A"),  # 3/8 in
            (14.2875, 0.08, "A"),  # 9/16 in
            (14.2875 + JUST, 0.05, "A"),
            (25.4, 0.05, "A"),
            (96, 0.05, "A"),
        ],
    )
    def test_boundaries(
        self, reference: Reference, diameter_mm: float, share: float, confidence: str
    ) -> None:
        tolerance = reference.size_tolerance(diameter_mm)
        assert tolerance is not None
        assert (tolerance.value, tolerance.unit) == (share, "1")
        assert tolerance.confidence == confidence

    def test_a_gap_is_named(self, reference: Reference) -> None:
        tolerance = reference.size_tolerance(9)
        assert tolerance is not None
        assert tolerance.note == "between two published classes: the smaller size's"

    def test_below_three_sixteenths(self, reference: Reference) -> None:
        assert reference.size_tolerance(4.7625 - JUST) is None

    def test_no_such_rope(self, reference: Reference) -> None:
        with pytest.raises(ValueError, match="no rope has a diameter"):
            reference.size_tolerance(0)


class TestTemperature:
    # 29 CFR 1926.251(d)(3): -20 degF = -260/9 degC, 180 degF = 740/9 degC.
    @pytest.mark.parametrize("fibre", sorted({*FIBRES} - {"hmpe", "polypropylene"}))
    def test_the_regulation(self, reference: Reference, fibre: str) -> None:
        low, high = reference.temperature_limit(fibre)
        assert (low.value, high.value) == (-260 / 9, 740 / 9)
        assert {low.unit, high.unit} == {"degC"}
        assert {low.source, high.source} == {"cfr_1926_251_d_3"}

    @pytest.mark.parametrize(("fibre", "limit_degc"), [("hmpe", 65), ("polypropylene", 60)])
    def test_the_lower_limit_wins(
        self, reference: Reference, fibre: str, limit_degc: float
    ) -> None:
        low, high = reference.temperature_limit(fibre)
        assert (low.value, low.confidence) == (-260 / 9, "A")
        assert (high.value, high.unit, high.confidence) == (limit_degc, "degC", "C")


class TestByFibre:
    def test_natural_fibre_has_no_braid_pitch_and_no_friction(self, reference: Reference) -> None:
        for fibre in ("manila", "sisal", "hemp", "cotton"):
            assert reference.pitch_diameters(fibre) is None
            assert reference.friction(fibre) is None
            assert reference.linear_density_coefficient(fibre) is None
            assert reference.specific_gravity(fibre) is None
            assert reference.bedding_in(fibre) is None

    def test_only_three_fibres_have_a_linear_density(self, reference: Reference) -> None:
        held = {fibre for fibre in FIBRES if reference.linear_density_coefficient(fibre)}
        assert held == {"hmpe", "polyester", "nylon"}

    def test_figures_carry_their_range(self, reference: Reference) -> None:
        pitch, friction = reference.pitch_diameters("hmpe"), reference.friction("hmpe")
        bedding = reference.bedding_in("polyester")
        assert pitch is not None
        assert friction is not None
        assert bedding is not None
        assert (pitch.value, pitch.low, pitch.high, pitch.unit) == (9.7, 8, 12, "d")
        assert (friction.value, friction.low, friction.high) == (0.07, 0.05, 0.09)
        assert (bedding.value, bedding.low, bedding.high) == (0.035, 0.02, 0.05)

    def test_gravity_and_density(self, reference: Reference) -> None:
        gravity = reference.specific_gravity("pbo")
        density = reference.linear_density_coefficient("hmpe")
        assert gravity is not None
        assert density is not None
        assert (gravity.value, gravity.unit) == (1.56, "1")
        assert (density.value, density.unit, density.confidence) == (0.496, "g/m/mm2", "C")

    def test_every_fibre_has_a_load_class(self, reference: Reference) -> None:
        high = {f for f in FIBRES if reference.load_class(f).value == "high_modulus"}
        assert high == {"hmpe", "aramid", "lcp", "pbo"}

    def test_load_class_names_its_source(self, reference: Reference) -> None:
        label = reference.load_class("nylon")
        assert (label.value, label.source, label.confidence) == (
            "standard",
            "ci_load_classes",
            "A",
        )


class TestUnknownNames:
    @pytest.mark.parametrize(
        ("look_up", "message"),
        [
            (lambda r: r.rule("bury.least"), "no rule 'bury.least'"),
            (lambda r: r.statement("eye"), "no statement 'eye'"),
            (lambda r: r.laid_strength("knot"), "no joint 'knot'"),
            (lambda r: r.load_class("silk"), "no fibre 'silk'"),
            (lambda r: r.pitch_diameters("silk"), "no fibre 'silk'"),
            (lambda r: r.friction("silk"), "no fibre 'silk'"),
            (lambda r: r.linear_density_coefficient("silk"), "no fibre 'silk'"),
            (lambda r: r.specific_gravity("silk"), "no fibre 'silk'"),
            (lambda r: r.bedding_in("silk"), "no fibre 'silk'"),
            (lambda r: r.temperature_limit("silk"), "no fibre 'silk'"),
            (lambda r: r.design_factor("persons"), "no duty 'persons'"),
            (lambda r: r.taper_pattern("mine"), "no taper pattern 'mine'"),
        ],
    )
    def test_refused(self, reference: Reference, look_up, message: str) -> None:  # type: ignore[no-untyped-def]
        with pytest.raises(DataError, match=message):
            look_up(reference)


def test_every_duty_has_a_factor(reference: Reference) -> None:
    assert [reference.design_factor(duty).value for duty in DUTIES] == [10, 3, 5, 5, 5, 5, 5]


def test_statements_and_joints(reference: Reference) -> None:
    thimble = reference.statement("eye.perimeter.thimble")
    assert reference.sources[thimble.source].title == "Ashley"
    assert thimble.confidence == "A"
    assert reference.laid_strength("short_splice").value == 0.85


def test_default_is_loaded_once() -> None:
    assert default() is default()
    assert default().version == load().version


def test_nothing_can_be_changed(reference: Reference) -> None:
    with pytest.raises(TypeError):
        reference.tables()["rules"] = ()  # type: ignore[index]
    with pytest.raises(TypeError):
        reference.tables()["rules"][0]["value"] = 1.0  # type: ignore[index]
    with pytest.raises(TypeError):
        reference.sources["mine"] = None  # type: ignore[index]
    with pytest.raises(AttributeError):
        reference.version = "0"  # type: ignore[misc]
