"""The calculator `due-date`, by the command."""

from datetime import date

import pytest

from tests.calculators.asking import answer, refusal
from tests.engineering.driven_cars import drive

pytestmark = pytest.mark.one_database

READ = [
    ("2022-04-20", 30_000), ("2022-10-12", 33_100), ("2023-05-02", 33_300), ("2023-10-20", 36_200),
    ("2024-04-29", 36_350),
]  # fmt: skip


def car(read=READ, limit="38000 km", **fields: object) -> dict:
    readings = [{"date": day, "distance": f"{km} km"} for day, km in read]
    return {"id": "a", "readings": readings, "limit": limit, **fields}


def days(found: dict) -> list[date | None]:
    return [
        date.fromisoformat(found[name]) if found[name] else None for name in ("p10", "p50", "p90")
    ]


def only(case: dict) -> dict:
    (found,) = case["cars"]
    return found


def asked_for(*cars: dict, today: str = "2024-05-01") -> dict:
    return answer("due-date", {"today": today, "cars": list(cars)})


def test_three_days_in_order_in_the_season() -> None:
    first, middle, last = days(only(asked_for(car())))
    assert first is not None
    assert middle is not None
    assert last is not None
    assert date(2024, 4, 29) <= first <= middle <= last
    assert date(2024, 6, 15) <= middle <= date(2024, 9, 15)


def test_single_reading_is_answered() -> None:
    found = only(asked_for(car([("2024-04-29", 36_350)])))
    assert days(found)[1] is not None


def test_order_of_readings_is_free_and_two_a_day_are_taken() -> None:
    shuffled = [READ[3], READ[0], READ[4], READ[2], READ[1]]
    assert asked_for(car(shuffled)) == asked_for(car())
    twice = [*READ, ("2024-04-29", 36_360)]
    assert days(only(asked_for(car(twice))))[1] is not None


def test_limit_that_is_reached_is_the_last_reading_s_day() -> None:
    assert set(days(only(asked_for(car(limit="36000 km"))))) == {date(2024, 4, 29)}


def test_limit_beyond_ten_years_is_null() -> None:
    assert days(only(asked_for(car(limit="900000 km")))) == [None, None, None]


def test_miles_are_of_1609_344_metres() -> None:
    in_miles = car([(day, km) for day, km in READ])
    for one in in_miles["readings"]:
        km = float(one["distance"].split()[0])
        one["distance"] = f"{km / 1.609344!r} mile"
    in_miles["limit"] = f"{38_000 / 1.609344!r} mile"
    assert asked_for(in_miles)["cars"] == asked_for(car())["cars"]


def test_lay_up_to_come_puts_the_day_off() -> None:
    away = only(asked_for(car(laid_up=[{"from": "2024-05-10", "to": "2024-08-31"}])))
    plain = only(asked_for(car()))
    assert days(away)[0] > date(2024, 8, 31)  # type: ignore[operator]
    assert days(away)[1] > days(plain)[1]  # type: ignore[operator]


def test_lay_up_that_still_lasts_ends_in_spring() -> None:
    autumn = [*READ[:4], ("2023-11-02", 36_300)]
    laid_up = car(autumn, limit="36400 km", laid_up=[{"from": "2023-11-03"}], today="2023-12-01")
    assert days(only(asked_for(laid_up)))[0] > date(2024, 3, 31)  # type: ignore[operator]


def test_few_cars_are_said_to_rest_on_the_defaults_and_many_are_not() -> None:
    given = asked_for(car())
    assert [warned["code"] for warned in given["warnings"]] == ["few_cars"]
    assert given["season"]["cars"] == 1
    assert sum(given["season"]["month_factors"]) == pytest.approx(12)
    driven = drive(90, 51)
    uses = driven.uses
    many = [
        {
            "id": place,
            "limit": {"value": (uses.last_metres[place] + driven.need[place]) / 1e3, "unit": "km"},
            "readings": [
                {
                    "date": date.fromordinal(int(uses.days[at])).isoformat(),
                    "distance": {"value": float(uses.metres[at]) / 1e3, "unit": "km"},
                }
                for at in range(uses.starts[place], uses.starts[place + 1])
            ],
        }
        for place in range(90)
    ]
    found = asked_for(*many, today="2030-01-01")
    assert found["warnings"] == []
    assert [one["id"] for one in found["cars"]] == list(range(90))
    assert found["season"]["learnt"] > 0.7


@pytest.mark.parametrize(
    ("bad", "field"),
    [
        (car([]), "cars[0].readings"),
        (car([("2024-06-01", 1)]), "cars[0].readings[0].date"),
        (car([("2024-02-30", 1)]), "cars[0].readings[0].date"),
        (car([("2024-01-01", 5), ("2024-02-01", 4)]), "cars[0].readings"),
        (car(laid_up=[{"from": "2024-02-01", "to": "2024-01-01"}]), "cars[0].laid_up[0].to"),
        (car(limit=38_000), "cars[0].limit"),
        (car(id=1.5), "cars[0].id"),
    ],
)
def test_bad_input_is_refused_by_name(bad: dict, field: str) -> None:
    assert field in refusal("due-date", {"today": "2024-05-01", "cars": [bad]})
