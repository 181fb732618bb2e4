"""The viscosity index: the standard's own table as a second way, and what must hold by nature."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.engineering.checks.viscosity import D2270_TABLE
from advisory.engineering.errors import OutOfRange
from advisory.engineering.viscosity import Oil, reference_viscosities, viscosity_index


def index(viscosity_40: float, viscosity_100: float) -> float:
    oil = Oil(
        kinematic_viscosity_40=viscosity_40 * 1e-6, kinematic_viscosity_100=viscosity_100 * 1e-6
    )
    return float(viscosity_index(oil))


def by_the_printed_table(viscosity_40: float, viscosity_100: float) -> float:
    """Work the standard's procedures A and B by hand, on a row of its table."""
    low, high = next((low, high) for y, low, high in D2270_TABLE if y == viscosity_100)
    if viscosity_40 > high:
        return 100.0 * (low - viscosity_40) / (low - high)
    n = np.log(high / viscosity_40) / np.log(viscosity_100)
    return float((10.0**n - 1.0) / 0.00715 + 100.0)


@pytest.mark.parametrize("row", D2270_TABLE)
@pytest.mark.parametrize("share", [0.2, 0.6, 1.0])
def test_index_below_100_equals_the_table_s(row, share):
    y, low, high = row
    u = low + share * (high - low) * 0.999

    # 0.11 % on L and H moves the index by more where they lie close together, in thin oils
    assert index(u, y) == pytest.approx(by_the_printed_table(u, y), abs=0.6)


@pytest.mark.parametrize("row", [r for r in D2270_TABLE if 3.0 <= r[0] <= 40.0])
@pytest.mark.parametrize("share", [0.95, 0.75])
def test_index_above_100_equals_the_table_s(row, share):
    y, _low, high = row

    # N = log10(H/U)/log10(Y) in any base; small differences in H count more the thinner the oil
    assert index(share * high, y) == pytest.approx(by_the_printed_table(share * high, y), abs=0.5)


@given(st.floats(2.0, 200.0))
def test_reference_oils_have_the_indices_0_and_100(y):
    low, high = (float(v) * 1e6 for v in reference_viscosities(np.array(y * 1e-6)))

    assert index(low, y) == pytest.approx(0.0, abs=1e-6)
    assert index(high, y) == pytest.approx(100.0, abs=1e-6)


@given(st.floats(2.0, 100.0), st.floats(1.5, 15.0), st.floats(1.001, 2.0))
def test_index_falls_with_a_thicker_cold_oil(y, ratio, factor):
    assert index(ratio * factor * y, y) < index(ratio * y, y)


@pytest.mark.parametrize("y", [3.8, 4.4, 5.0, 6.4, 7.0, 7.7, 9.0, 12.0, 15.0, 18.0, 22.0, 28.0])
def test_reference_viscosities_do_not_jump_where_the_segments_meet(y):
    below, above = (
        np.array(reference_viscosities(np.array(v * 1e-6))) for v in (y * (1 - 1e-9), y)
    )

    assert above == pytest.approx(below, rel=2e-3)  # as the standard has them


def test_index_of_an_oil_too_thin_for_it_is_not_a_number():
    assert np.isnan(index(5.0, 1.99))
    with pytest.raises(OutOfRange):
        reference_viscosities(np.array(1.99e-6))


def test_many_oils_are_indexed_at_once():
    oils = Oil(
        kinematic_viscosity_40=np.array([73.30e-6, 22.83e-6, 5e-6]),
        kinematic_viscosity_100=np.array([8.86e-6, 5.05e-6, 1.8e-6]),
    )

    assert [round(v) for v in viscosity_index(oils).tolist()[:2]] == [92, 156]
    assert np.isnan(viscosity_index(oils)[2])
