"""The table of causes: a case for each line, its order, and what a unit's own record says."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse

from advisory.common.errors import NotAllowed, Refused
from advisory.common.quantities import METRIC, Preferences
from advisory.findings.actions import add_cause_line, remove_cause_line, report_finding
from advisory.findings.causes import CAUSES, UnitRecord, pointed_at, record_of
from advisory.findings.causes.evidence import EVIDENCE
from advisory.findings.causes.rules import CauseRule
from advisory.findings.marks import DamageMark
from advisory.findings.models import CauseLine, Inspection
from advisory.findings.queries import own_cause_lines
from advisory.lubrication.enums import Filtration, ServiceKind
from advisory.lubrication.models import Lubricant, OilService
from advisory.register.enums import PositionKind
from advisory.register.models import Design
from advisory.usage.models import Reading
from tests.cast import FITTED_ON, SHOWN_WHEN_FITTED, make_design

PREFS = Preferences(distance="km", small_length="mm")

# A record in which a piece of evidence speaks for a cause, and one in which it speaks against it.
# A mark that was seen says nothing by not having been seen.
SPEAKS: dict[str, tuple[dict[str, object], dict[str, object]]] = {
    "no_filter": ({"filtration": "none"}, {"filtration": "full-flow"}),
    "change_late": ({"change_over": 900e3}, {"change_over": -500e3, "months_over": -3}),
    "pipe_short": ({"pipe_share": 0.4}, {"pipe_share": 3.0}),
    "slow_cold": ({"arrives_cold": False}, {"arrives_cold": True}),
    "film_thin": ({"film_holds": False, "film_ratio": 1.4}, {"film_holds": True, "film_ratio": 5}),
    "young_build": ({"since_build": 400e3}, {"since_build": 30_000e3}),
    "worn": ({"clearance_share": 0.9}, {"clearance_share": 0.5}),
    "coolant_weak": (
        {"coolant_freezes_at": 268.15, "coldest": 260.15},
        {"coolant_freezes_at": 245.15, "coldest": 260.15},
    ),
    "breather_open": ({"breather_filtered": False}, {"breather_filtered": True}),
    "dusty": ({"roads": "unsealed"}, {"roads": "sealed"}),
    "short_runs": ({"short_run_share": 0.8}, {"short_run_share": 0.1}),
    "laid_up": ({"laid_up": True}, {"laid_up": False}),
    "other_pattern": ({"fasteners_other_pattern": True}, {"fasteners_other_pattern": False}),
    "inserts": ({"thread_inserts": True}, {}),
    "part_origin": ({"part_origin": "remade"}, {"part_origin": "original"}),
    "cover_used": ({"cover": "reused"}, {"cover": "new"}),
    "run_out": ({"run_out_over": True}, {"run_out_over": False}),
    "detergent": ({"detergent": True}, {"detergent": False}),
    "sulphur": ({"active_sulphur": True}, {"active_sulphur": False}),
    "water_seen": ({"other_marks": {"water_in_oil"}}, {}),
    "frost_seen": ({"other_marks": {"frost_crack"}}, {}),
    "grit_seen": ({"other_marks": {"embedded_grit"}}, {}),
    "pipe_seen": ({"other_marks": {"pipe_crushed"}}, {}),
    "lining_seen": ({"other_marks": {"wiped_metal"}}, {}),
    "thrust_seen": ({"other_marks": {"thrust_groove"}}, {}),
    "blows_seen": ({"other_marks": {"hammer_marks"}}, {}),
    "cover_seen": ({"other_marks": {"cover_bowed"}}, {}),
    "fastener_seen": ({"other_marks": {"fastener_wrong"}}, {}),
}


def record(supporting: set[str], opposing: set[str]) -> UnitRecord:
    """Return a record in which these speak for, and those against."""
    known: dict[str, object] = {}
    marks: set[str] = set()
    for keys, side in ((opposing, 1), (supporting, 0)):
        for key in sorted(keys):
            part = dict(SPEAKS[key][side])
            marks |= part.pop("other_marks", set())  # type: ignore[arg-type]
            known |= part
    return UnitRecord(**known, other_marks=frozenset(marks))  # type: ignore[arg-type]


def own_keys(rule: CauseRule) -> set[str]:
    return {piece.key for piece in rule.evidence}


@pytest.mark.one_database
@pytest.mark.parametrize("key", list(EVIDENCE))
def test_a_piece_of_evidence_speaks_both_ways_and_is_silent_where_nothing_is_known(key) -> None:
    says = EVIDENCE[key].says
    in_favour, against = says(record({key}, set()), PREFS), says(record(set(), {key}), PREFS)

    assert in_favour is not None
    assert in_favour.supports
    assert against is None or not against.supports
    assert says(UnitRecord(), PREFS) is None


@pytest.mark.one_database
@pytest.mark.parametrize("rule", CAUSES, ids=lambda rule: rule.key)
def test_a_cause_stands_first_where_the_record_speaks_for_it_and_against_the_others(rule) -> None:
    mine = own_keys(rule)
    others = set().union(*(own_keys(one) for one in CAUSES if one.mark == rule.mark)) - mine

    first = pointed_at(rule.mark, record(mine, others), PREFS).causes[0]
    blamed = {one.cause: one for one in pointed_at(rule.mark, record(others, mine), PREFS).causes}[
        str(rule.cause)
    ]

    assert first.cause == str(rule.cause)
    assert len(first.supports) == len(mine)
    assert not blamed.supports
    assert all((first.check, first.until_then, rule.source))


@pytest.mark.one_database
def test_each_mark_has_causes_and_each_line_says_where_it_comes_from() -> None:
    assert {rule.mark for rule in CAUSES} == set(DamageMark)
    assert len({rule.key for rule in CAUSES}) == len(CAUSES)
    assert {rule.source for rule in CAUSES} == {"common practice, no source"}


@pytest.mark.one_database
@pytest.mark.parametrize("mark", list(DamageMark))
def test_past_a_limit_nothing_but_to_stop_is_said(mark) -> None:
    own = CauseLine(mark=mark, cause="Ours", check_for="x", until_then="Run it gently.")
    own.design = Design(name="Pattern 4")
    told = pointed_at(mark, UnitRecord(past_limit=True), PREFS, [own])

    assert "leave it standing" in told.stop
    assert {one.until_then for one in told.causes} == {told.stop}


@pytest.mark.django_db
def test_a_units_own_record_speaks(whole_unit, owner, car, odometer) -> None:
    arrangement = whole_unit.oil_arrangements.get()
    arrangement.filtration = Filtration.NONE
    arrangement.lubricant = Lubricant.objects.get(code="sae-40")
    arrangement.save()
    OilService.objects.create(
        unit=whole_unit, date=FITTED_ON, kind=ServiceKind.CHANGE, shown=SHOWN_WHEN_FITTED
    )
    Reading.objects.create(odometer=odometer, date="2024-04-30", shown=SHOWN_WHEN_FITTED + 6000)
    bearing = whole_unit.design.positions.get(name="Front bearing")
    finding = report_finding(
        unit=whole_unit, by=owner, text="Specks.", seen_on=date(2024, 5, 1), position=bearing,
        mark=DamageMark.EMBEDDED_GRIT, value=0.1e-3, as_typed="0.1 mm",
    )  # fmt: skip

    known = record_of(finding, owner)
    first = pointed_at(finding.mark, known, METRIC).causes[0]

    assert known.filtration == "none"
    assert known.change_over is not None
    assert known.change_over > 1000e3
    assert known.clearance_share == pytest.approx(0.1 / 0.115)
    assert known.film_holds is not None
    assert first.cause == "Dirt in the oil: no filter, or changed too late"
    assert first.supports[0] == "It has no filter."
    assert "overdue by" in first.supports[1]


@pytest.mark.django_db
def test_a_coolant_too_weak_for_the_winter_speaks(whole_unit, owner) -> None:
    jacket = whole_unit.design.positions.get(kind=PositionKind.WATER_JACKET)
    round_ = Inspection.objects.create(
        unit=whole_unit, started_on=date(2023, 10, 1), scope="outside", by=owner
    )
    round_.steps.create(order=1, kind="place", position=jacket, freezes_at=270.0, coldest=262.0)
    finding = report_finding(
        unit=whole_unit, by=owner, text="A line, wet.", seen_on=date(2024, 3, 1), position=jacket,
        mark=DamageMark.FROST_CRACK,
    )  # fmt: skip

    first = pointed_at(finding.mark, record_of(finding, owner), METRIC).causes[0]

    assert first.supports[0] == "Its coolant freezes at -3 °C; the coldest night was -11 °C."


@pytest.mark.django_db
def test_the_page_shows_causes_to_both_sides(as_owner, as_fitter, whole_unit, owner) -> None:
    washer = whole_unit.design.positions.get(kind=PositionKind.THRUST_WASHER)
    finding = report_finding(
        unit=whole_unit, by=owner, text="A ring.", seen_on=date(2024, 5, 1), position=washer,
        mark=DamageMark.THRUST_GROOVE, value=0.3e-3, as_typed="0.3 mm",
    )  # fmt: skip
    url = reverse("findings:finding", args=[finding.pk])

    for client in (as_owner, as_fitter):
        page = client.get(url).text
        assert "What it points to" in page
        assert "Whatever the cause: leave it standing" in page
        assert "common practice, no source" in page
    assert as_owner.get(reverse("findings:causes")).status_code == 200


@pytest.mark.django_db
def test_a_workshops_own_line_stands_before_the_table(as_owner, as_fitter, whole_unit, owner):
    url = reverse("findings:own_causes", args=[whole_unit.design_id])
    line = {
        "mark": "hammer_marks", "cause": "The old drift", "evidence": ["inserts"],
        "check_for": "Look for our stamp.", "until_then": "Ring us.",
    }  # fmt: skip

    assert as_fitter.post(url, line | {"cause": ""}).status_code == 422
    assert as_fitter.post(url, line, follow=True).status_code == 200
    assert as_fitter.post(url, line).status_code == 422  # it stands there already
    finding = report_finding(unit=whole_unit, by=owner, text="Dents.", seen_on=date(2024, 5, 1),
                             mark=DamageMark.HAMMER_MARKS)  # fmt: skip
    page = as_owner.get(reverse("findings:finding", args=[finding.pk])).text

    assert page.index("The old drift") < page.index("Driven off or on without a puller")
    assert "Sallow Lane Bearings's own line" in page
    newer = make_design(whole_unit.design.workshop, "Another pattern")
    assert not own_cause_lines(newer)
    as_fitter.post(reverse("findings:remove_cause", args=[CauseLine.objects.get().pk]))
    assert not CauseLine.objects.exists()


@pytest.mark.django_db
def test_nobody_else_writes_or_takes_out_a_line(whole_unit, fitter, owner, other_fitter) -> None:
    line = add_cause_line(design=whole_unit.design, by=fitter, mark="cover_bowed", cause="Ours",
                          check_for="x", until_then="y")  # fmt: skip
    for person in (owner, other_fitter):
        client = Client()
        client.force_login(person)
        assert (
            client.get(reverse("findings:own_causes", args=[whole_unit.design_id])).status_code
            == 404
        )
        assert client.post(reverse("findings:remove_cause", args=[line.pk])).status_code == 404
        with pytest.raises(NotAllowed):
            remove_cause_line(line=line, by=person)
    with pytest.raises(Refused):
        add_cause_line(design=whole_unit.design, by=fitter, mark="cover_bowed", cause="More",
                       check_for="x", until_then="y", evidence=["moon"])  # fmt: skip


@pytest.mark.django_db
def test_causes_through_the_api(as_owner, as_fitter, whole_unit, owner) -> None:
    finding = report_finding(unit=whole_unit, by=owner, text="Dents.", seen_on=date(2024, 5, 1),
                             mark=DamageMark.HAMMER_MARKS)  # fmt: skip
    made = as_fitter.post("/api/v1/cause-lines/", {
        "design": whole_unit.design_id, "mark": "hammer_marks", "cause": "The old drift",
        "check_for": "x", "until_then": "y",
    }, content_type="application/json")  # fmt: skip

    told = as_owner.get(f"/api/v1/findings/{finding.pk}/causes/").json()

    assert made.status_code == 201
    assert told["causes"][0]["cause"] == "The old drift"
    assert as_owner.delete(f"/api/v1/cause-lines/{made.json()['id']}/").status_code == 404
    assert as_fitter.delete(f"/api/v1/cause-lines/{made.json()['id']}/").status_code == 204


def test_the_table_shows_a_workshops_people_their_own_lines_and_where_to_add(
    as_owner, as_fitter, whole_unit, fitter, other_fitter, manager
) -> None:
    url = reverse("findings:causes")
    add = reverse("findings:own_causes", args=[whole_unit.design_id])
    assert "has added none yet" in as_fitter.get(url).text
    for mark in ("cover_bowed", "wiped_metal"):
        whole_unit.design.cause_lines.create(
            mark=mark, cause="The old drift", check_for="Its edge", until_then="Leave it"
        )

    page = as_fitter.get(url).text

    assert page.count("The old drift") == 2
    assert "has added 2 lines" in page
    assert add in page
    others = Client()
    others.force_login(other_fitter)
    for client in (as_owner, others):
        assert "The old drift" not in client.get(url).text
    assert "Your own lines" not in as_owner.get(url).text
