"""Clearance, ovality, taper, undersize: the bench's arithmetic, with its uncertainty."""

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.common.quantities import LENGTH, from_si, read_size
from advisory.engineering.errors import OutOfRange
from advisory.engineering.measured import (
    Measured,
    Verdict,
    difference,
    mean_of,
    root_sum_square,
    verdict,
)
from advisory.engineering.running_fit import (
    Sameness,
    bore_is_smaller,
    compare_undersizes,
    diameter,
    running_fit,
    undersize,
)

pytestmark = pytest.mark.one_database

THOU = 25.4e-6  # exactly: the inch is 25.4 mm (International Yard and Pound Agreement, 1959)
INCH = 0.0254
NOMINAL = 1.5 * INCH


def plain(*values):
    return [[Measured(value) for value in values]]


# JCGM 100:2008 (GUM), annex H.1, the end-gauge: 25, 9.7, 2.9 and 16.6 nm combine to 31.7 nm; it
# prints u_c = 32 nm (from memory, and computed here).
def test_uncertainties_combine_as_in_the_end_gauge_example():
    assert root_sum_square([25.0, 9.7, 2.9, 16.6]) == pytest.approx(31.7, abs=0.05)
    assert round(root_sum_square([25.0, 9.7, 2.9, 16.6])) == 32
    assert root_sum_square([1.0, None]) is None


def test_mean_of_one_instruments_readings_is_no_surer_than_one_of_them():
    assert mean_of([Measured(1.0, 0.2)] * 8).uncertainty == pytest.approx(0.2)
    assert mean_of([Measured(1.0, 0.2), Measured(1.0)]).uncertainty is None
    with pytest.raises(OutOfRange):
        mean_of([])


def test_clearance_carries_the_uncertainty_of_both():
    pair = running_fit(
        [[Measured(1.5020 * INCH, 3e-6), Measured(1.5022 * INCH, 3e-6)]],
        [[Measured(1.5000 * INCH, 4e-6), Measured(1.4998 * INCH, 4e-6)]],
    )
    assert pair.clearance.value == pytest.approx(2.2 * THOU, abs=1e-9)
    assert pair.clearance.uncertainty == pytest.approx(5e-6)
    assert pair.tightest.value == pytest.approx(2.0 * THOU, abs=1e-9)
    assert pair.widest.value == pytest.approx(2.4 * THOU, abs=1e-9)
    assert not bore_is_smaller(pair)


def test_ovality_is_within_a_plane_and_taper_between_them():
    shaft = diameter(
        [[Measured(38.060e-3), Measured(38.056e-3)], [Measured(38.050e-3), Measured(38.052e-3)]]
    )
    assert shaft.ovality is not None
    assert shaft.taper is not None
    assert shaft.ovality.value == pytest.approx(4e-6)
    assert shaft.taper.value == pytest.approx(7e-6)
    assert shaft.mean.value == pytest.approx(38.0545e-3)
    single = diameter([[Measured(38e-3)], []])
    assert (single.ovality, single.taper) == (None, None)


@pytest.mark.parametrize("planes", [[], [[]], [[Measured(0.0)]], [[Measured(-1.0)]]])
def test_no_reading_and_no_size_are_refused(planes):
    with pytest.raises(OutOfRange):
        diameter(planes)


def test_bore_smaller_than_its_journal_is_told():
    assert bore_is_smaller(running_fit(plain(38e-3), plain(38.001e-3)))
    assert not bore_is_smaller(running_fit(plain(38e-3), plain(38e-3)))


def test_undersize_is_below_nominal():
    assert undersize(NOMINAL, diameter(plain(NOMINAL - 20 * THOU))).value == pytest.approx(
        20 * THOU
    )


# How a figure stands ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "uncertainty", "stands"),
    [
        (40e-6, 1e-6, Verdict.WITHIN),
        (32e-6, 1e-6, Verdict.WITHIN),
        (31e-6, 1e-6, Verdict.CANNOT_TELL),
        (29e-6, 1e-6, Verdict.CANNOT_TELL),
        (27e-6, 1e-6, Verdict.BELOW),
        (49e-6, 1e-6, Verdict.CANNOT_TELL),
        (52.1e-6, 1e-6, Verdict.ABOVE),
        (30e-6, None, Verdict.WITHIN),
        (50e-6, 0.0, Verdict.WITHIN),
        (29.9e-6, None, Verdict.BELOW),
        (40e-6, 30e-6, Verdict.CANNOT_TELL),
    ],
)
def test_verdict_says_when_nobody_can_tell(value, uncertainty, stands):
    assert verdict(Measured(value, uncertainty), 30e-6, 50e-6) is stands


def test_limits_that_are_missing_or_turned_round():
    assert verdict(Measured(1.0, 0.1)) is Verdict.NO_LIMIT
    assert verdict(Measured(1.0), None, 0.5) is Verdict.ABOVE
    with pytest.raises(OutOfRange):
        verdict(Measured(1.0), 2.0, 1.0)
    for bad in (math.nan, math.inf):
        with pytest.raises(OutOfRange):
            Measured(bad)
        with pytest.raises(OutOfRange):
            Measured(1.0, bad)


@given(
    value=st.floats(-1e-4, 1e-3), low=st.floats(0, 1e-4), width=st.floats(0, 1e-4),
    small=st.floats(0, 1e-5), more=st.floats(0, 1e-4),
)  # fmt: skip
@settings(max_examples=60, deadline=None)
def test_more_uncertainty_never_makes_anything_surer(value, low, width, small, more):
    sure = verdict(Measured(value, small), low, low + width)
    less = verdict(Measured(value, small + more), low, low + width)
    assert less in {sure, Verdict.CANNOT_TELL}


# All journals alike -----------------------------------------------------------------------------


def test_journals_ground_alike_are_told_from_those_that_are_not():
    alike = {name: Measured(10 * THOU, 1e-6) for name in ("front", "centre", "rear")}
    assert compare_undersizes(alike).sameness is Sameness.SAME
    found = compare_undersizes({**alike, "rear": Measured(20 * THOU, 1e-6)})
    assert (found.sameness, found.odd) == (Sameness.DIFFERENT, ("rear",))
    near = compare_undersizes({**alike, "rear": Measured(10.45 * THOU, 3e-6)})
    assert near.sameness is Sameness.CANNOT_TELL
    two = compare_undersizes({"front": Measured(0.0), "rear": Measured(10 * THOU)})
    assert (two.sameness, two.odd) == (Sameness.DIFFERENT, ())
    with pytest.raises(OutOfRange):
        compare_undersizes({"front": Measured(0.0)})


# Any mix of units, any order --------------------------------------------------------------------


def written(size, way):
    if way == "inch":
        return f"{from_si(size, 'inch', LENGTH):.9f}"
    if way == "thou against nominal":
        return f"{from_si(size - NOMINAL, 'thou', LENGTH):+.6f}"
    if way == "mm against nominal":
        return f"{from_si(size - NOMINAL, 'mm', LENGTH):+.7f} mm"
    return f"{from_si(size, way, LENGTH):.9f} {way}"


WAYS = ("inch", "mm", "thou", "um", "cm", "thou against nominal", "mm against nominal")


@given(
    sizes=st.lists(st.floats(NOMINAL * 0.99, NOMINAL * 1.01), min_size=8, max_size=8),
    ways=st.lists(st.sampled_from(WAYS), min_size=8, max_size=8),
    seed=st.integers(0, 1000),
)
@settings(max_examples=80, deadline=None)
def test_any_mix_of_units_in_any_order_gives_the_same_clearance(sizes, ways, seed):
    read = [
        read_size(written(size, way), unit="inch", small_unit="thou", nominal=NOMINAL).si
        for size, way in zip(sizes, ways, strict=True)
    ]
    exact = math.fsum(sizes[:4]) / 4 - math.fsum(sizes[4:]) / 4

    def planes(four):
        order = random.Random(seed)
        rows = [[Measured(one) for one in four[:2]], [Measured(one) for one in four[2:]]]
        for row in rows:
            order.shuffle(row)
        order.shuffle(rows)
        return rows

    pair = running_fit(planes(read[:4]), planes(read[4:]))
    in_order = running_fit(
        [[Measured(one) for one in read[:4]]], [[Measured(one) for one in read[4:]]]
    )
    assert pair.clearance.value == pytest.approx(exact, abs=0.1e-6)
    assert in_order.clearance.value == pytest.approx(exact, abs=0.1e-6)
    assert difference(pair.bore.mean, pair.journal.mean).value == pair.clearance.value
