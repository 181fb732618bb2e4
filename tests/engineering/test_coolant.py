"""Coolant: freezing points, volume to mass, and when a mix is enough."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisory.engineering.coolant import (
    MARGIN_KELVIN,
    Glycol,
    coolant_strength,
    freezing_point,
    glycol_named,
    mass_fraction_of,
)
from advisory.engineering.errors import OutOfRange


@pytest.mark.parametrize("glycol", list(Glycol))
def test_more_glycol_freezes_later(glycol):
    shares = np.linspace(0.0, 0.6, 601)
    points = freezing_point(glycol, shares)

    assert (np.diff(points) <= 0).all()
    assert points[0] == pytest.approx(0.0, abs=0.03)
    assert (points <= 0).all()


@pytest.mark.parametrize(("share", "handbook"), [(0.4, -22.3), (0.5, -33.8)])
def test_margin_covers_the_warmer_handbook(share, handbook):
    # A handbook table of ethylene glycol by mass (from memory): up to 2.9 K warmer.
    computed = float(freezing_point(Glycol.ETHYLENE, share))

    assert computed < handbook < computed + MARGIN_KELVIN


def test_water_freezes_as_dilute_solutions_do():
    # Raoult: 1.86 K kg/mol; 62.07 and 76.09 g/mol. One percent by mass, within 15 %.
    for glycol, molar in ((Glycol.ETHYLENE, 0.06207), (Glycol.PROPYLENE, 0.07609)):
        fall = -float(freezing_point(glycol, 0.01)) + float(freezing_point(glycol, 0.0))
        assert fall == pytest.approx(1.86 * 0.01 / 0.99 / molar, rel=0.25)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    volume=st.floats(0.0, 0.6),
    lowest=st.floats(-60.0, 10.0),
    glycol=st.sampled_from(list(Glycol)),
)
def test_strength_is_complete_and_its_margin_decides(volume, lowest, glycol):
    mix = coolant_strength(glycol=glycol, volume_fraction=volume, lowest_temperature_c=lowest)

    assert np.isfinite([mix.freezing_point_c, mix.margin, mix.mass_fraction]).all()
    assert float(mix.margin) == pytest.approx(lowest - float(mix.freezing_point_c))
    assert bool(mix.enough) is (float(mix.margin) >= 3.0)


def test_mistaking_one_glycol_for_the_other_costs_about_four_kelvin():
    shares = [
        float(
            coolant_strength(
                glycol=glycol, mass_fraction=0.5, lowest_temperature_c=-20.0
            ).freezing_point_c
        )
        for glycol in Glycol
    ]
    assert shares[1] - shares[0] == pytest.approx(4.0, abs=0.5)


def test_sixty_percent_by_volume_is_held_at_the_end_of_the_relation():
    mix = coolant_strength(glycol=Glycol.ETHYLENE, volume_fraction=0.6, lowest_temperature_c=-40.0)
    assert float(mix.mass_fraction) > 0.6
    assert bool(mix.held)
    assert float(mix.freezing_point_c) == float(freezing_point(Glycol.ETHYLENE, 0.6))


def test_array_in_array_out():
    mix = coolant_strength(
        glycol=Glycol.ETHYLENE,
        volume_fraction=np.array([0.25, 0.33, 0.5]),
        lowest_temperature_c=-18.0,
    )
    assert mix.enough.tolist() == [False, False, True]


@pytest.mark.parametrize(
    ("arguments", "argument"),
    [
        ({"volume_fraction": 0.61}, "volume_fraction"),
        ({"mass_fraction": -0.01}, "mass_fraction"),
        ({"mass_fraction": float("nan")}, "mass_fraction"),
        ({}, "volume_fraction"),
        ({"volume_fraction": 0.3, "mass_fraction": 0.3}, "volume_fraction"),
        ({"volume_fraction": 0.3, "lowest_temperature_c": -200.0}, "lowest_temperature_c"),
    ],
)
def test_bad_argument_is_refused_by_name(arguments, argument):
    with pytest.raises(OutOfRange) as refused:
        coolant_strength(**({"glycol": Glycol.ETHYLENE, "lowest_temperature_c": -10.0} | arguments))
    assert refused.value.argument == argument


def test_unknown_glycol_is_refused():
    with pytest.raises(OutOfRange) as refused:
        glycol_named("methanol")

    assert refused.value.argument == "glycol"


def test_volume_and_mass_meet_at_their_ends():
    assert float(mass_fraction_of(Glycol.PROPYLENE, 0.0)) == 0.0
    assert float(mass_fraction_of(Glycol.PROPYLENE, 0.5)) > 0.5
