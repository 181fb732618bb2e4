"""The calculator `dirt-balance`, by the command."""

import pytest

from tests.calculators.asking import answer, asked, refusal, value

SUMP = {"sump_volume": "5 litre", "ingress_rate": "10 mg/hour", "duration": "40 hour"}
BYPASS = {"filter_flow": "0.8 litre/minute", "beta_ratio": 2}


def test_sump_without_a_filter_gathers_all_its_dirt():
    # computed twice independently: 10 mg/h for 40 h in 5 l
    given = answer("dirt-balance", SUMP)

    assert value(given["concentration"], "mg/l") == pytest.approx(80.0)
    assert given["steady_concentration"] is None
    assert given["time_constant"] is None
    assert given["method"] == {"name": "dirt-balance", "version": "1"}
    assert given["warnings"] == []


def test_bypass_keeps_it_near_the_steady_concentration():
    # the same, 0.8 l/min at beta 2: time constant 12.5 min, 0.417 mg/l
    given = answer("dirt-balance", SUMP | BYPASS)

    assert value(given["concentration"], "mg/l") == pytest.approx(0.417, abs=5e-4)
    assert value(given["steady_concentration"], "mg/l") == pytest.approx(0.417, abs=5e-4)
    assert value(given["time_constant"], "hour") == pytest.approx(12.5 / 60)


def test_residue_is_carried_over_the_fills():
    # a tenth left at each drain: ends at 88.89, so starts at 8.89 in the limit
    given = answer("dirt-balance", SUMP | {"residue_fraction": 0.1, "fills": 50})

    assert value(given["concentration"], "mg/l") == pytest.approx(88.889, abs=1e-3)


@pytest.mark.parametrize(("beta", "efficiency"), [(2, 0.5), (10, 0.9), (75, 1 - 1 / 75)])
def test_beta_ratio_and_efficiency_are_two_ways_of_saying_it(beta, efficiency):
    flow = {"filter_flow": "0.8 litre/minute"}
    by_beta = answer("dirt-balance", SUMP | flow | {"beta_ratio": beta})
    by_efficiency = answer("dirt-balance", SUMP | flow | {"efficiency": efficiency})

    assert by_beta["concentration"]["value"] == pytest.approx(
        by_efficiency["concentration"]["value"], rel=1e-12
    )


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"sump_volume": "0 litre"}, "sump_volume"),
        ({"sump_volume": "-5 litre"}, "sump_volume"),
        ({"sump_volume": "5 kg"}, "sump_volume"),
        ({"ingress_rate": "10 mg"}, "ingress_rate"),
        ({"duration": 40}, "duration"),
        ({"filter_flow": "1 litre/minute"}, "efficiency"),
        ({"beta_ratio": 0.5}, "beta_ratio"),
        ({"beta_ratio": 2, "efficiency": 0.5}, "efficiency"),
        ({"efficiency": 1.5}, "efficiency"),
        ({"residue_fraction": True}, "residue_fraction"),
        ({"residue_fraction": "0.1"}, "residue_fraction"),
        ({"fills": 1.5}, "fills"),
        ({"fills": 0}, "fills"),
        ({"fills": None}, "fills"),
        ({"filter": "big"}, "filter"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(changes, field):
    assert set(refusal("dirt-balance", SUMP | changes)) == {field}


def test_filter_without_flow_is_warned_of():
    given = answer("dirt-balance", SUMP | {"beta_ratio": 75})

    assert value(given["concentration"], "mg/l") == pytest.approx(80.0)
    assert [w["code"] for w in given["warnings"]] == ["no_filter_flow"]


def test_thousand_sumps_are_answered_together():
    cases = [SUMP | {"sump_volume": f"{1 + i / 100} litre"} for i in range(1000)]
    given, status = asked("dirt-balance", cases)

    assert status == 0
    assert [round(g["concentration"]["value"], 6) for g in given] == [
        round(400 / (1 + i / 100), 6) for i in range(1000)
    ]
