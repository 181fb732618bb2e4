"""The calculator `survival`, by the command."""

import pytest

from advisory.engineering.checks import lifetime_data as data
from advisory.engineering.checks import survival as published
from tests.calculators.asking import answer, asked, refusal


def told(watched, group=None):
    """Lives as the calculator is told them."""
    named = {} if group is None else {"group": group}
    return [
        {"duration": duration, "failed": failed, "entry": entry, **named}
        for duration, failed, entry in zip(
            watched.duration.tolist(), watched.failed.tolist(), watched.entry.tolist(), strict=True
        )
    ]


def alone(watched):
    (group,) = answer("survival", {"lives": told(watched)})["groups"]
    return group


CURVES = [check for check in published.CHECKS if check.what.startswith("share that lives on")]


@pytest.mark.parametrize("check", CURVES, ids=lambda check: check.what)
def test_published_curve_is_answered(check):
    lives_of, age = check.compute.args
    curve = alone(lives_of())["curve"]
    reached = [point for point in curve if point["duration"] <= age][-1]

    assert reached["survival"] == pytest.approx(check.published, abs=check.allowed)


def test_published_band_is_answered():
    # E. J. Freireich et al. (1963), 6-MP at 6 weeks: 0.6197 to 0.9516 by the log-log band
    first = alone(data.treated_lives())["curve"][0]

    assert first["duration"] == 6
    assert first["lower"] == pytest.approx(0.6197, abs=5.1e-5)
    assert first["upper"] == pytest.approx(0.9516, abs=5.1e-5)


def test_published_medians_are_answered():
    # the same trial, in most textbooks: 23 weeks against 8
    assert alone(data.treated_lives())["median"] == 23
    assert alone(data.untreated_lives())["median"] == 8


def test_published_weibull_law_is_answered():
    # NIST/SEMATECH e-Handbook, 8.4.1.3: shape 1.7208, scale 606.5280
    law = alone(data.nist_weibull_lives())["weibull"]

    assert law["shape"] == pytest.approx(1.7208, abs=1e-3)
    assert law["scale"] == pytest.approx(606.528, rel=1e-4)
    assert law["shape_interval"][0] < law["shape"] < law["shape_interval"][1]
    assert law["scale_interval"][0] < law["scale"] < law["scale_interval"][1]


def test_published_log_rank_is_answered():
    # the same trial: chi-square 16.79 on 1, O 9 and 21, E 19.25 and 10.75
    lives = told(data.treated_lives(), "6-MP") + told(data.untreated_lives(), "placebo")
    given = answer("survival", {"lives": lives})
    test = given["log_rank"]

    assert test["chi_square"] == pytest.approx(16.793, abs=5e-3)
    assert test["degrees_of_freedom"] == 1
    assert test["p_value"] == pytest.approx(4.17e-5, rel=0.01)
    assert test["permutation_p_value"] is None
    assert [g["group"] for g in given["groups"]] == ["6-MP", "placebo"]
    assert [(g["n"], g["failures"]) for g in given["groups"]] == [(21, 9), (21, 21)]
    assert [round(c["expected"], 2) for c in test["compared"]] == [19.25, 10.75]
    assert given["warnings"] == []


def test_small_group_has_its_permutation_p_value_and_a_warning():
    lives = [
        {"duration": age, "failed": True, "group": group}
        for group, ages in (("soon", (1, 2, 3, 4, 5)), ("late", (6, 7, 8, 9, 10)))
        for age in ages
    ]
    given = answer("survival", {"lives": lives})

    # two of the 252 ways to deal ten lives to five and five are as far apart
    assert given["log_rank"]["permutation_p_value"] == pytest.approx(2 / 252, abs=0.004)
    assert [w["code"] for w in given["warnings"]] == ["small_group"]


def test_too_few_failures_have_no_law_but_a_reason():
    given = answer("survival", {"lives": [{"duration": 5, "failed": True}] * 2})

    assert given["groups"][0]["weibull"] is None
    (warning,) = given["warnings"]
    assert warning["code"] == "no_weibull"
    assert "two different" in warning["message"]


def test_no_failure_at_all_is_stated_and_no_number():
    lives = [{"duration": 5, "failed": False, "group": group} for group in ("a", "b")]
    given = answer("survival", {"lives": lives})

    for group in given["groups"]:
        assert group["curve"] == []
        assert group["median"] is group["weibull"] is None
    assert given["log_rank"] is None
    assert {w["code"] for w in given["warnings"]} == {"no_weibull", "not_compared"}


def test_end_without_a_bound_is_null():
    # two lives so alike that no shape, however great, is much less likely
    lives = [{"duration": age, "failed": True} for age in (10, 10.03)]
    (group,) = answer("survival", {"lives": lives})["groups"]

    low, high = group["weibull"]["shape_interval"]
    assert 0 < low < group["weibull"]["shape"]
    assert high is None


@pytest.mark.parametrize(
    ("life", "field", "limit"),
    [
        ({"duration": 0, "failed": True}, "lives[0].duration", "above 0 and at most 1e+12"),
        ({"duration": "5 km", "failed": True}, "lives[0].duration", "number"),
        ({"duration": 5, "failed": 1}, "lives[0].failed", "true, false"),
        ({"failed": True}, "lives[0].duration", "required"),
        ({"duration": 5, "failed": True, "entry": 5}, "lives[0].entry", "below the duration"),
        ({"duration": 5, "failed": True, "entry": -1}, "lives[0].entry", "at least 0"),
        ({"duration": 5, "failed": True, "group": ""}, "lives[0].group",
         "text of 1 to 60 characters"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_by_its_field_with_its_limit(life, field, limit):
    assert refusal("survival", {"lives": [life]})[field]["limit"] == limit


@pytest.mark.parametrize(
    ("lives", "limit"),
    [
        ([], "1 to 2000 entries"),
        ([{"duration": 1, "failed": True}] * 2001, "1 to 2000 entries"),
        ([{"duration": 1, "failed": True, "group": str(n)} for n in range(21)],
         "at most 20 groups"),
    ],
)  # fmt: skip
def test_too_many_or_none_are_refused(lives, limit):
    assert refusal("survival", {"lives": lives})["lives"]["limit"] == limit


def test_array_is_answered_in_order_with_bad_entries_in_their_places():
    good = {"lives": told(data.late_entry_lives())}
    given, status = asked("survival", [good, {"lives": []}, good])

    assert status == 1
    assert ["errors" in each for each in given] == [False, True, False]
    assert given[0] == given[2] == answer("survival", good)


def test_more_cases_than_are_computed_at_once_are_refused_whole():
    given, status = asked("survival", [{}] * 101)

    assert status == 1
    assert given["status"] == 413
