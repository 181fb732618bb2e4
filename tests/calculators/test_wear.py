"""The calculator `wear`, by the command."""

import pytest

from tests.calculators.asking import answer, asked, refusal

pytestmark = pytest.mark.one_database

FIELLER = [(0, 0.045), (8_000, 0.056), (15_500, 0.062), (24_000, 0.075), (31_000, 0.081)]


def told(points: list[tuple[float, float]], **fields: object) -> list[dict[str, object]]:
    return [{"distance": f"{km} km", "value": f"{mm} mm", **fields} for km, mm in points]


def codes(given: dict) -> set[str]:
    return {warned["code"] for warned in given["warnings"]}


def test_well_measured_unit_is_answered_as_its_own_line() -> None:
    given = answer("wear", {"measurements": told(FIELLER, uncertainty="0.0015 mm"),
                            "limit": "0.1 mm"})  # fmt: skip
    assert given["rate"]["unit"] == "um per 1000 km"
    assert given["rate"]["value"] == pytest.approx(1.169, rel=0.03)
    low, high = (end["value"] for end in given["rate_interval"])
    assert low < given["rate"]["value"] < high
    far = given["distance_to_limit"]
    # the unit's own line meets it after 46 666 km, 80 % 44 063-49 726 km
    assert far["p50"]["value"] + 31_000 == pytest.approx(46_666, abs=900)
    assert far["p10"]["value"] + 31_000 == pytest.approx(44_063, abs=900)
    assert far["p90"]["value"] + 31_000 == pytest.approx(49_726, abs=1_200)
    assert given["next_inspection"]["value"] < far["p10"]["value"]
    assert codes(given) == {"fleet_says_little"}


def test_distance_at_build_is_taken_off() -> None:
    case = {"measurements": told(FIELLER), "limit": "0.1 mm"}
    later = {
        "measurements": told([(km + 20_000, mm) for km, mm in FIELLER]),
        "limit": "0.1 mm",
        "distance_at_build": "20000 km",
    }
    assert answer("wear", case) == answer("wear", later)


def test_bounds_of_the_workshop_hold_and_say_what_they_risk() -> None:
    case = {"measurements": told(FIELLER), "limit": "0.1 mm"}
    most = answer("wear", case | {"at_most": "2000 km"})
    assert most["next_inspection"] == {"value": 2000.0, "unit": "km"}
    least = answer("wear", case | {"at_least": "15000 km"})
    assert least["next_inspection"]["value"] == pytest.approx(15_000)
    assert "at_least_too_far" in codes(least)


def test_limit_that_is_passed_is_an_answer() -> None:
    given = answer("wear", {"measurements": told([(0, 0.05), (20_000, 0.14)]), "limit": "0.12 mm",
                            "at_least": "5000 km"})  # fmt: skip
    assert "limit_passed" in codes(given)
    assert given["next_inspection"]["value"] == 0
    assert given["distance_to_limit"]["p50"]["value"] == 0


def test_no_finite_limit_is_an_answer() -> None:
    flat = [(km, 0.05) for km in (0, 100_000, 200_000, 300_000)]
    given = answer("wear", {"measurements": told(flat, uncertainty="0.5 um"), "limit": "1 mm"})
    assert given["distance_to_limit"]["p50"] is None
    assert "no_finite_limit" in codes(given)


def test_fleet_that_tells_is_not_warned_of() -> None:
    fleet = [told([(0, 0.05), (20_000, 0.07)]) for _ in range(4)]
    given = answer("wear", {"measurements": told([(5_000, 0.055)]), "limit": "0.1 mm",
                            "fleet": fleet})  # fmt: skip
    assert codes(given) == set()
    assert given["units_alike"] == 4


@pytest.mark.parametrize("km", [(0, 5_000), (5_000, 5_000)])
def test_figures_that_contradict_tell_no_distance(km: tuple[float, float]) -> None:
    points = list(zip(km, (9 * 0.0254, 4 * 0.0254), strict=True))
    given = answer("wear", {"measurements": told(points), "limit": "16 thou",
                            "at_least": "4000 km"})  # fmt: skip
    assert given["distance_to_limit"] == {"p10": None, "p50": None, "p90": None}
    assert given["next_inspection"]["value"] == 0
    assert codes(given) == {"measurements_contradict", "fleet_says_little"}
    (said,) = (one["message"] for one in given["warnings"] if "contradict" in one["code"])
    assert "Measurements 1 and 2 contradict" in said
    assert "ask the workshop" in said


def test_fleet_s_unit_that_contradicts_itself_is_named_as_left_out() -> None:
    fleet = [told([(0, 0.05), (20_000, 0.07)]) for _ in range(3)]
    fallen = told([(0, 0.09), (20_000, 0.05)])
    case = {"measurements": told([(5_000, 0.055)]), "limit": "0.1 mm"}
    given = answer("wear", case | {"fleet": [*fleet, fallen]})
    assert codes(given) == {"fleet_contradicts"}
    assert given["units_alike"] == 3
    assert given["rate"] == answer("wear", case | {"fleet": fleet})["rate"]


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"measurements": []}, "measurements"),
        ({"measurements": [{"distance": "1 km"}]}, "measurements[0].value"),
        ({"fleet": [[{"distance": "1 km", "value": 3}]]}, "fleet[0][0].value"),
        ({"distance_at_build": "10 km"}, "measurements[0].distance"),
        ({"at_least": "9 km", "at_most": "8 km"}, "at_most"),
        ({"limit": "0 mm"}, "limit"),
        ({"worst_chance": 0.9}, "worst_chance"),
    ],
)
def test_bad_input_is_refused_by_name(fields: dict, field: str) -> None:
    case = {"measurements": told([(0, 0.05)]), "limit": "0.1 mm"}
    assert field in refusal("wear", case | fields)


def test_one_bad_case_leaves_the_others_answered() -> None:
    good = {"measurements": told(FIELLER), "limit": "0.1 mm"}
    given, status = asked("wear", [good, {"limit": "0.1 mm"}, good])
    assert status == 1
    assert given[0] == given[2] == answer("wear", good)
