"""The way that the oil takes: stages by feed, and the weak point by the rules."""

import pytest

from advisory.common.quantities import METRIC
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import OilArrangement
from advisory.lubrication.oil_way import NAMES, RULES, STAGES, StageShown, oil_way
from advisory.lubrication.queries import OilInUnit
from advisory.register.enums import PositionKind

PIPE = frozenset({PositionKind.FEED_PIPE})


def way(
    feed: Feed, filtration: Filtration, *, pipe: bool = False, breathes: bool = True
) -> list[StageShown]:
    arrangement = OilArrangement(feed=feed, filtration=filtration, breather_filtered=breathes)
    oil = OilInUnit(arrangement, None, None, 3e-3, None)
    return oil_way(oil, PIPE if pipe else frozenset(), METRIC)


def weakest(stages: list[StageShown]) -> str:
    (one,) = [stage.key for stage in stages if stage.weakest]
    return one


@pytest.mark.parametrize("feed", Feed)
@pytest.mark.parametrize("filtration", Filtration)
@pytest.mark.parametrize("pipe", [False, True])
def test_way_ends_in_the_bearings_and_has_at_most_one_weak_point(
    feed: Feed, filtration: Filtration, pipe: bool
) -> None:
    stages = way(feed, filtration, pipe=pipe)
    keys = [stage.key for stage in stages]
    assert "bearings" in keys
    assert len([stage for stage in stages if stage.weakest]) <= 1
    assert ("pipe" in keys) == (pipe and "pipe" in STAGES[feed])
    assert all(stage.weak for stage in stages if stage.weakest)


# Each rule with the case that it is for; common practice, no source.
@pytest.mark.parametrize(
    ("stages", "expected"),
    [
        (way(Feed.TOTAL_LOSS, Filtration.NONE, pipe=True), "oiler"),
        (way(Feed.UNKNOWN, Filtration.FULL_FLOW), "unknown"),
        (way(Feed.PRESSURE, Filtration.NONE, pipe=True), "filter"),
        (way(Feed.PRESSURE, Filtration.STRAINER), "filter"),
        (way(Feed.PRESSURE, Filtration.UNKNOWN), "filter"),
        (way(Feed.PRESSURE, Filtration.FULL_FLOW, pipe=True), "pipe"),
        (way(Feed.GRAVITY, Filtration.BYPASS), "tank"),
        (way(Feed.SPLASH, Filtration.NONE), "sump"),
        (way(Feed.PRESSURE, Filtration.FULL_FLOW, breathes=False), "breather"),
    ],
)
def test_weak_point(stages: list[StageShown], expected: str) -> None:
    assert weakest(stages) == expected


def test_nothing_weak_is_marked_where_no_rule_applies() -> None:
    assert not any(stage.weak for stage in way(Feed.PRESSURE, Filtration.FULL_FLOW))


def test_nothing_known_of_a_unit_is_said_so() -> None:
    stages = oil_way(OilInUnit(None, None, None, None, None), frozenset(), METRIC)
    assert weakest(stages) == "unknown"
    assert "Find out" in stages[0].weak


def test_every_stage_has_a_name_and_every_rule_a_stage() -> None:
    keys = {key for stages in STAGES.values() for key in stages}
    assert keys == set(NAMES)
    assert {rule.stage for rule in RULES} <= keys
    assert all(str(rule.source) == "common practice, no source" for rule in RULES)
