"""Reasons become sentences, in the reader's units, and none is forgotten."""

from dataclasses import replace

import pytest

from advisory.common.quantities import METRIC, Preferences
from advisory.engineering.oil_change import OilChangeCase, oil_change_interval, reasons_for
from advisory.lubrication.sentences import SENTENCES, sentence, sentences

IMPERIAL = Preferences(small_length="thou", distance="mile", volume="pint", temperature="degF")
KM = 1e3
UNIT = OilChangeCase(filtration="none", sump_volume=3.2e-3, mean_speed=14.0)

#: A case for each reason.
GIVEN_FOR = {
    "limited_by_dirt": {},
    "filter_would": {},
    "breather_would": {},
    "at_least_every": {},
    "limited_by_ageing": {"sump_temperature_c": 115.0, "filtration": "full-flow"},
    "cooler_would": {"sump_temperature_c": 115.0, "filtration": "full-flow"},
    "limited_by_calendar": {"annual_distance": 300 * KM},
    "distance_would_allow": {"annual_distance": 300 * KM},
    "limited_by_running_in": {"distance_since_rebuild": 0.0},
    "running_in_first_look": {"distance_since_rebuild": 0.0},
    "limited_by_workshop_distance": {"workshop_distance": 500 * KM},
    "limited_by_workshop_months": {"workshop_months": 3.0},
    "workshop_distance_shortened": {"workshop_distance": 5000 * KM},
    "workshop_months_shortened": {"workshop_months": 60.0},
    "dusty_roads": {"roads": "mixed"},
    "short_runs": {"short_run_share": 0.4},
    "sump_stays_cold": {"sump_temperature_c": 45.0},
    "strainer_is_no_filter": {"filtration": "strainer"},
    "filter_assumed": {"filtration": "bypass"},
    "filter_capacity_unknown": {"filtration": "bypass"},
    "filter_full_early": {"filtration": "bypass", "dirt_capacity": 0.5e-3},
    "filter_change": {"filtration": "bypass", "dirt_capacity": 20e-3},
}


def reasons_of(**circumstances):
    return reasons_for(oil_change_interval(replace(UNIT, **circumstances)))


def test_every_reason_has_a_sentence_and_a_case_that_gives_it():
    assert set(GIVEN_FOR) == set(SENTENCES)


@pytest.mark.parametrize("code", sorted(GIVEN_FOR))
@pytest.mark.parametrize("prefs", [METRIC, IMPERIAL], ids=["metric", "imperial"])
def test_reason_is_given_and_said_in_a_sentence(code, prefs):
    reason = next(r for r in reasons_of(**GIVEN_FOR[code]) if r.code == code)
    said = sentence(code, reason.values, prefs)

    assert said.endswith(".")
    assert said[0].isupper() or said[0].isdigit()
    assert "%" not in said.replace(" %", "")


def test_sentences_are_in_the_reader_s_units():
    said = sentences(reasons_of(), IMPERIAL)

    assert said[0] == "Dirt sets it: no filter, 5.6 pints of oil."
    assert said[1] == "A bypass filter would make it about 1,700 miles."


def test_what_sets_it_is_said_first_and_then_what_would_move_it():
    assert [r.code for r in reasons_of()][:4] == [
        "limited_by_dirt", "filter_would", "filter_would", "breather_would",
    ]  # fmt: skip


def test_two_filters_that_come_to_the_same_are_one_sentence():
    # at 108 degC the oil ages before either filter lets it get dirty
    hot = {"sump_temperature_c": 108.0}
    said = [each for each in sentences(reasons_of(**hot), METRIC) if "filter would" in each]

    assert len(said) == 1
    assert said[0].startswith("A bypass or a full-flow filter would make it about ")


def test_filter_is_not_promised_where_it_moves_nothing():
    for circumstances in ({"annual_distance": 300 * KM}, {"workshop_distance": 500 * KM}):
        assert "filter_would" not in [r.code for r in reasons_of(**circumstances)]


def test_caution_to_stop_stands_with_the_first_run_of_new_white_metal():
    said = sentences(reasons_of(distance_since_rebuild=0.0), METRIC)

    assert any("stop and ask the workshop" in each for each in said)


def test_code_of_an_older_method_is_shown_as_it_is():
    assert sentence("limited_by_magic", {}, METRIC) == "limited by magic"
