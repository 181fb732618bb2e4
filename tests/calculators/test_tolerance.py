"""The calculator `tolerance`, by the command."""

import pytest

from advisory.engineering.checks import fits as published
from tests.calculators.asking import answer, asked, refusal, value

PAIR = {"size": "25 mm", "tolerance_class": "H7", "mating_class": "r6"}


def test_published_deviations_are_answered_in_one_array():
    checks = [check for check in published.CHECKS if "deviation of" in check.what]
    cases = [
        {"size": {"value": size, "unit": "mm"}, "tolerance_class": name}
        for size, name, _end in (check.compute.args for check in checks)
    ]

    for check, given in zip(checks, answer("tolerance", cases), strict=True):
        end = check.compute.args[2]
        assert value(given[f"{end}_deviation"], "um") == check.published, check.what
        assert given["fit"] is None
        assert given["tolerance"]["value"] == pytest.approx(
            given["upper_deviation"]["value"] - given["lower_deviation"]["value"]
        )


@pytest.mark.parametrize(
    ("classes", "least", "greatest"),
    # ISO 286-2: 25 H7 is 0/+21, r6 +28/+41, h11 -130/0 um
    [(("H7", "r6"), -41, -7), (("r6", "H7"), -41, -7), (("H7", "h11"), 0, 151)],
)
def test_pair_has_its_play_whichever_comes_first(classes, least, greatest):
    one, other = classes
    given = answer("tolerance", PAIR | {"tolerance_class": one, "mating_class": other})["fit"]

    assert value(given["minimum_clearance"], "um") == least
    assert value(given["maximum_clearance"], "um") == greatest


def test_inches_find_the_same_step():
    assert (
        answer("tolerance", PAIR | {"size": "1 inch"})["fit"]
        == (answer("tolerance", PAIR | {"size": "25.4 mm"})["fit"])
    )


@pytest.mark.parametrize("size", ["1 mm", "500 mm", "0.5 m", "19.68503937007874 inch"])
def test_ends_of_the_tables_belong_to_them(size):
    answer("tolerance", {"size": size, "tolerance_class": "H7"})


@pytest.mark.parametrize(
    ("changes", "field", "limit"),
    [
        ({"size": "0.9 mm"}, "size", "at least 1 mm and at most 500 mm"),
        ({"size": "501 mm"}, "size", "at least 1 mm and at most 500 mm"),
        ({"size": 25}, "size", "length"),
        ({"tolerance_class": "H19"}, "tolerance_class", "of a grade 1 to 18"),
        ({"mating_class": "r"}, "mating_class", "and a grade"),
        ({"mating_class": "H6"}, "mating_class", "a class of a shaft"),
        ({"tolerance_class": "g6"}, "mating_class", "a class of a hole"),
        ({"tolerance_class": "T7", "size": "20 mm"}, "tolerance_class", "only above 24 mm"),
        ({"tolerance_class": "H7 and more"}, "tolerance_class", "1 to 8 characters"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field_with_its_limit(changes, field, limit):
    assert limit in refusal("tolerance", PAIR | changes)[field]["limit"]


def test_both_classes_are_refused_at_once():
    errors = refusal("tolerance", PAIR | {"tolerance_class": "Q7", "mating_class": "z6"})

    assert set(errors) == {"tolerance_class", "mating_class"}
    assert "Q7" in errors["tolerance_class"]["message"]


def test_array_is_answered_in_order_with_bad_entries_in_their_places():
    given, status = asked("tolerance", [PAIR, PAIR | {"size": "2 m"}, {"size": "9 mm"}, PAIR])

    assert status == 1
    assert ["errors" in each for each in given] == [False, True, True, False]
    assert given[0] == given[3]
