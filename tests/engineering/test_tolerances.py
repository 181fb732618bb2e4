"""ISO 286: the tables' own logic, printed values, and classes that the standard does not have."""

from itertools import product

import pressfit
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering import iso_286_tables as tables
from advisory.engineering.errors import OutOfRange
from advisory.engineering.tolerances import fit, tolerance_zone


def micrometres(size, tolerance_class):
    zone = tolerance_zone(size / 1000, tolerance_class)
    return round(zone.upper_deviation * 1e6, 3), round(zone.lower_deviation * 1e6, 3)


@pytest.mark.parametrize(
    ("size", "tolerance_class", "upper", "lower"),
    [  # ISO 286-2, printed tables; in two published libraries too (read)
        (29, "h7", 0, -21), (29, "H7", 21, 0), (29, "h8", 0, -33), (25, "g6", -7, -20),
        (25, "K7", 6, -15), (25, "M7", 0, -21), (25, "N7", -7, -28), (25, "P7", -14, -35),
        (25, "J7", 12, -9), (25, "js7", 10.5, -10.5), (25, "JS7", 10.5, -10.5),
        (25, "k6", 15, 2), (25, "n6", 28, 15), (25, "e8", -40, -73), (25, "d9", -65, -117),
        (25, "c11", -110, -240), (40, "c11", -120, -280), (45, "c11", -130, -290),
        (280, "M6", -9, -41), (280, "M7", 0, -52), (8, "K6", 2, -7), (2, "K6", 0, -6),
        (2, "P6", -6, -12), (2, "N9", -4, -29), (25, "N9", 0, -52), (60, "R7", -30, -60),
        (70, "R7", -32, -62), (150, "u6", 215, 190), (30, "t6", 54, 41), (355, "s6", 226, 190),
        (500, "H18", 9700, 0), (1, "H1", 0.8, 0), (12, "j6", 8, -3), (3, "j7", 6, -4),
        (25, "k8", 33, 0), (25, "R8", -28, -61), (60, "a11", -340, -530),
    ],
)  # fmt: skip
def test_deviations_are_those_printed(size, tolerance_class, upper, lower):
    assert micrometres(size, tolerance_class) == (upper, lower)


def test_standard_tolerances_are_near_their_formula():
    # i = 0.45 D^(1/3) + 0.001 D; 10 i, 16 i, 25 i, ...: the print is rounded by hand.
    factors = {6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100, 12: 160, 13: 250, 14: 400, 16: 1000}
    lows = (1, *tables.MAIN_STEPS[:-1])
    for grade, factor in factors.items():
        for low, high, value in zip(
            lows, tables.MAIN_STEPS, tables.STANDARD_TOLERANCES[grade], strict=True
        ):
            mean = (low * high) ** 0.5
            formula = factor * (0.45 * mean ** (1 / 3) + 0.001 * mean)
            assert value == pytest.approx(formula, rel=0.05 if low >= 10 else 0.16)


def test_tables_are_whole_and_rise_with_size_and_grade():
    for grade, row in tables.STANDARD_TOLERANCES.items():
        assert len(row) == len(tables.MAIN_STEPS)
        assert list(row) == sorted(row)
        if grade > 1:
            finer = tables.STANDARD_TOLERANCES[grade - 1]
            assert all(a > b for a, b in zip(row, finer, strict=True))
    for table, steps in (
        (tables.CLEARANCE_DEVIATIONS, tables.MAIN_STEPS),
        (tables.WIDE_DEVIATIONS, tables.FINE_STEPS),
        (tables.TRANSITION_DEVIATIONS, tables.MAIN_STEPS),
        (tables.INTERFERENCE_DEVIATIONS, tables.FINE_STEPS),
        (tables.SHAFT_J, tables.MAIN_STEPS),
        (tables.HOLE_J, tables.MAIN_STEPS),
    ):
        for row in table.values():
            values = [value for value in row if value is not None]
            assert len(row) == len(steps)
            assert values == sorted(values)


def test_letters_follow_one_another_from_loose_to_tight():
    for size in (0.002, 0.012, 0.025, 0.07, 0.155, 0.23, 0.41):
        shafts = [
            tolerance_zone(size, f"{letter}6").lower_deviation
            for letter in "abcdefghkmnprstu"
            if not (letter == "t" and size <= 0.024)
        ]
        assert shafts == sorted(shafts)


@pytest.mark.parametrize(
    ("size", "wide"), [(3.0, 10), (3.001, 12), (18.0, 18), (18.001, 21), (50.0, 25), (50.001, 30)]
)
def test_a_step_ends_at_its_upper_limit(size, wide):
    assert tolerance_zone(size / 1000, "H7").tolerance * 1e6 == pytest.approx(wide)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    size=st.floats(0.0011, 0.5),
    letter=st.sampled_from(["a", "c", "f", "h", "js", "k", "m", "n", "p", "r", "s", "u"]),
    grade=st.integers(1, 18),
)
def test_width_is_the_standard_tolerance_of_the_grade(size, letter, grade):
    shaft = tolerance_zone(size, f"{letter}{grade}")
    hole = tolerance_zone(size, f"H{grade}")

    assert shaft.tolerance == pytest.approx(hole.tolerance)
    assert not shaft.is_hole
    assert hole.is_hole


def test_fit_is_that_of_its_two_zones_in_either_order():
    # 60 H7/s6: hole 0/+30, shaft +53/+72.
    for classes in (("H7", "s6"), ("s6", "H7")):
        pair = fit(0.06, *classes)
        assert pair.minimum_clearance * 1e6 == pytest.approx(-72)
        assert pair.maximum_clearance * 1e6 == pytest.approx(-23)


@pytest.mark.parametrize(
    ("size", "tolerance_class", "argument"),
    [
        (0.0009, "H7", "size"), (0.501, "H7", "size"), (float("nan"), "H7", "size"),
        (0.02, "H19", "tolerance_class"), (0.02, "H0", "tolerance_class"),
        (0.02, "q6", "tolerance_class"), (0.02, "Js6", "tolerance_class"),
        (0.02, "H", "tolerance_class"), (0.02, "7", "tolerance_class"),
        (0.02, "", "tolerance_class"), (0.02, "t6", "tolerance_class"),
        (0.02, "j9", "tolerance_class"), (0.02, "J5", "tolerance_class"),
        (0.02, "K9", "tolerance_class"), (0.001, "a11", "tolerance_class"),
        (0.001, "N9", "tolerance_class"), (0.02, "H7/r6", "tolerance_class"),
    ],
)  # fmt: skip
def test_what_the_standard_does_not_have_is_refused(size, tolerance_class, argument):
    with pytest.raises(OutOfRange) as refused:
        tolerance_zone(size, tolerance_class)

    assert refused.value.argument == argument


@pytest.mark.parametrize("classes", [("H7", "K7"), ("r6", "h6")])
def test_fit_wants_a_hole_and_a_shaft(classes):
    with pytest.raises(OutOfRange) as refused:
        fit(0.02, *classes)

    assert refused.value.argument == "mating_class"


def test_fits_are_those_of_an_independent_library():
    # pressfit 0.1 (PyPI, MIT): hole basis, grades 5 to 11, to 500 mm; at, just above and between
    # all steps of the standard
    sizes = {
        size
        for step in (1, 3, *tables.FINE_STEPS)
        for size in (step, step + 0.01, step * 1.05)
        if size <= 500
    }
    letters = ("c", "d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "s", "u")
    for size, letter, hole, shaft in product(sizes, letters, (6, 7, 9), range(5, 12)):
        ours = fit(size / 1000, f"H{hole}", f"{letter}{shaft}")
        theirs = pressfit.fit(f"H{hole}/{letter}{shaft}", size).clearance_um
        least, most = ours.minimum_clearance * 1e6, ours.maximum_clearance * 1e6
        assert (round(least, 3), round(most, 3)) == theirs, (size, letter, hole, shaft)
