"""The dirt in a sump: an integrator as a second way, and what must hold by nature."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from advisory.engineering.dirt_balance import dirt_balance, efficiency_from_beta
from advisory.engineering.errors import OutOfRange

HOUR = 3600.0
SUMP = {"sump_volume": 5e-3, "ingress_rate": 10e-6 / HOUR, "duration": 40 * HOUR}
FILTER = {"filter_flow": 0.8e-3 / 60, "efficiency": 0.5}

sumps = st.fixed_dictionaries(
    {
        "sump_volume": st.floats(1e-4, 2e-2),
        "ingress_rate": st.floats(1e-11, 1e-7),
        "duration": st.floats(60.0, 500 * HOUR),
        "filter_flow": st.floats(0.0, 1e-3),
        "efficiency": st.floats(0.0, 1.0),
        "initial_concentration": st.floats(0.0, 1.0),
        "residue_fraction": st.floats(0.0, 1.0),
        "fills": st.integers(1, 12),
    }
)


def end(**case: object) -> float:
    return float(dirt_balance(**case).concentration)


def integrated(*, sump_volume, ingress_rate, duration, filter_flow=0.0, efficiency=0.0,
               oil_loss=0.0, initial_concentration=0.0, residue_fraction=0.0, fills=1):  # fmt: skip
    """Integrate V dC/dt = G - (Q E + q) C fill by fill."""
    start = initial_concentration
    for _ in range(fills):
        path = solve_ivp(
            lambda t, c: (ingress_rate - (filter_flow * efficiency + oil_loss) * c) / sump_volume,
            (0.0, duration), [start], method="LSODA", rtol=1e-10, atol=1e-14,
        )  # fmt: skip
        last = float(path.y[0, -1])
        start = residue_fraction * last
    return last


@pytest.mark.parametrize(
    "case",
    [
        SUMP,
        SUMP | FILTER,
        SUMP | {"residue_fraction": 0.1, "fills": 5},
        SUMP | {"filter_flow": 1e-8, "efficiency": 0.4, "residue_fraction": 0.3, "fills": 4},
        SUMP | {"oil_loss": 2e-8, "initial_concentration": 0.3},
        SUMP | FILTER | {"initial_concentration": 0.5, "duration": 300.0, "fills": 3,
                         "residue_fraction": 1.0},
    ],
)  # fmt: skip
def test_concentration_equals_the_integrated_balance(case):
    assert end(**case) == pytest.approx(integrated(**case), rel=1e-6)


def test_series_of_fills_equals_fill_after_fill():
    case = SUMP | {"filter_flow": 1e-8, "efficiency": 0.5}
    start = 0.2
    for _ in range(7):
        last = end(**case, initial_concentration=start)
        start = 0.25 * last

    together = end(**case, initial_concentration=0.2, residue_fraction=0.25, fills=7)

    assert together == pytest.approx(last, rel=1e-12)


@given(sumps)
def test_mass_in_the_sump_is_never_more_than_went_in(case):
    went_in = case["ingress_rate"] * case["duration"] * case["fills"]
    carried = case["initial_concentration"] * case["sump_volume"]

    assert 0.0 <= end(**case) * case["sump_volume"] <= (went_in + carried) * (1 + 1e-9)


@given(sumps, st.floats(0.0, 1.0))
def test_better_filter_never_leaves_more_dirt(case, efficiency):
    low, high = sorted((case["efficiency"], efficiency))

    assert end(**(case | {"efficiency": high})) <= end(**(case | {"efficiency": low})) * (1 + 1e-9)


@given(sumps)
def test_filter_without_flow_or_efficiency_is_none(case):
    none = end(**(case | {"filter_flow": 0.0}))

    assert end(**(case | {"efficiency": 0.0})) == pytest.approx(none, rel=1e-12)


@given(sumps)
def test_long_fill_comes_to_the_steady_concentration(case):
    case |= {"filter_flow": max(case["filter_flow"], 1e-6), "efficiency": 0.5, "fills": 1}
    long = dirt_balance(**(case | {"duration": 60.0 * case["sump_volume"] / 5e-7}))

    assert float(long.concentration) == pytest.approx(float(long.steady_concentration), rel=1e-9)


@given(sumps, st.floats(1e-9, 1e-6))
def test_vanishing_filter_is_continuous_with_none(case, tiny):
    without = end(**(case | {"efficiency": 0.0}))
    barely = end(**(case | {"filter_flow": tiny * 1e-9, "efficiency": 1.0}))

    assert barely == pytest.approx(without, rel=1e-3, abs=1e-15)


def test_time_constant_and_steady_state_of_no_filter_are_endless():
    without = dirt_balance(**SUMP)

    assert np.isinf(without.time_constant)
    assert np.isinf(without.steady_concentration)


def test_many_sumps_are_computed_at_once():
    volumes = np.array([2e-3, 5e-3, 9e-3])

    together = dirt_balance(**(SUMP | FILTER | {"sump_volume": volumes}))

    assert together.concentration.tolist() == [
        end(**(SUMP | FILTER | {"sump_volume": v})) for v in volumes.tolist()
    ]
    assert together.steady_concentration.shape == (3,)


@pytest.mark.parametrize(
    ("argument", "value"),
    [
        ("sump_volume", 0.0),
        ("ingress_rate", -1.0),
        ("duration", float("nan")),
        ("filter_flow", -1e-9),
        ("efficiency", 1.01),
        ("residue_fraction", -0.1),
        ("initial_concentration", float("inf")),
        ("fills", 0),
        ("fills", 1.5),
        ("oil_loss", -1.0),
    ],
)
def test_argument_out_of_range_is_refused_by_name(argument, value):
    with pytest.raises(OutOfRange) as refusal:
        dirt_balance(**(SUMP | {argument: value}))

    assert refusal.value.argument == argument


@given(st.floats(1.0, 1e6))
def test_efficiency_and_beta_are_each_other_s_inverse(beta):
    efficiency = float(efficiency_from_beta(beta))

    assert 0.0 <= efficiency < 1.0
    assert 1.0 / (1.0 - efficiency) == pytest.approx(beta, rel=1e-9)


def test_beta_below_one_is_refused():
    with pytest.raises(OutOfRange, match="beta_ratio"):
        efficiency_from_beta(0.99)
