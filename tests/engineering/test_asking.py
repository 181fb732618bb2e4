"""When a reading is worth most: against chance drawn many times, and what must hold by nature."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.engineering.errors import OutOfRange
from advisory.engineering.usage_forecast import assumptions as assumed
from advisory.engineering.usage_forecast.asking import expected_shortfall, reading_worth


def drawn(middle: float, below: float, above: float) -> np.ndarray:
    """Draw days of a spread that is normal on either side of its middle."""
    z = np.random.default_rng(20_261_127).standard_normal(400_000)
    return middle + np.where(z < 0.0, below, above) * z


@pytest.mark.parametrize("day", [-80.0, 40.0, 99.0, 100.0, 101.0, 260.0, 900.0])
@pytest.mark.parametrize(("below", "above"), [(30.0, 90.0), (60.0, 20.0), (40.0, 0.0), (0.0, 70.0)])
def test_mean_shortfall_is_that_of_days_drawn_by_chance(day, below, above) -> None:
    days = drawn(100.0, below, above)

    told = expected_shortfall(*(np.array([x]) for x in (day, 100.0, below, above)))[0]

    # 400 000 drawn: the standard error is at most 100 / sqrt(400 000) = 0.16 days
    assert told == pytest.approx(np.maximum(day - days, 0.0).mean(), abs=0.65)


def test_the_week_is_that_which_a_search_over_chance_finds() -> None:
    """The loss of each week written out anew: the day named by trying all, shortfalls by chance."""
    first, middle, last, since, lead = 60.0, 140.0, 330.0, 150.0, 21.0
    days = drawn(middle, (middle - first) / 1.281552, (last - middle) / 1.281552)
    late = assumed.LATE_COSTS
    not_knowing = min(
        np.where(days < day, late * (day - days), days - day).mean() for day in range(0, 200, 2)
    )
    losses = [
        not_knowing * np.sqrt(max(middle - week * 7, 0.0) / (middle + since))
        + late * np.maximum(week * 7 + lead - days, 0.0).mean()
        for week in range(30)
    ]

    worth = reading_worth([first], [middle], [last], [since], [lead])

    assert worth.best_in[0] / 7 == pytest.approx(int(np.argmin(losses)), abs=1)
    gain = not_knowing * (1 - np.sqrt(middle / (middle + since)))
    assert worth.now[0] == pytest.approx(gain, rel=0.02)


def test_as_the_day_draws_near_there_is_one_moment_from_which_it_is_asked() -> None:
    ahead = np.arange(400.0, 20.0, -1.0)
    worth = reading_worth(ahead - 95.0, ahead, ahead + 180.0, 600.0 - ahead, 21.0)

    asked = worth.asks_now
    assert not asked[0]
    begin = int(np.argmax(asked))
    assert asked[begin:].all()
    # and that is before the first day has come within the lead by much
    assert 0.0 <= (ahead[begin] - 95.0) <= 60.0


def test_a_fresh_reading_or_a_sure_day_is_not_asked_for() -> None:
    assert not reading_worth([25.0], [120.0], [300.0], [0.0], [21.0]).asks_now[0]
    assert not reading_worth([29.0], [30.0], [31.0], [200.0], [21.0]).asks_now[0]


@given(
    low=st.floats(0.0, 300.0),
    high=st.floats(0.0, 2000.0),
    middle=st.floats(-100.0, 700.0),
    since=st.floats(0.0, 2000.0),
    lead=st.floats(0.0, 60.0),
)
def test_it_is_worth_nothing_less_than_nought_and_more_the_wider(
    low, high, middle, since, lead
) -> None:
    one = reading_worth([middle - low], [middle], [middle + high], [since], [lead])
    wider = reading_worth([middle - low], [middle], [middle + high + 50.0], [since], [lead])
    older = reading_worth([middle - low], [middle], [middle + high], [since + 50.0], [lead])

    assert one.now[0] >= -1e-9
    assert wider.now[0] >= one.now[0] - 1e-9
    assert older.now[0] >= one.now[0] - 1e-9
    assert 0.0 <= one.best_in[0] <= 364.0


@pytest.mark.parametrize(
    "days",
    [
        ([50.0], [40.0], [90.0], [1.0], [21.0]),
        ([10.0], [40.0], [30.0], [1.0], [21.0]),
        ([10.0], [40.0], [np.nan], [1.0], [21.0]),
        ([10.0], [40.0], [90.0], [-1.0], [21.0]),
        ([10.0], [40.0], [90.0], [1.0], [-1.0]),
    ],
)
def test_days_out_of_order_are_refused(days) -> None:
    with pytest.raises(OutOfRange):
        reading_worth(*days)
