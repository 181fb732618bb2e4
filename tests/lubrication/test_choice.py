"""The choice of oil, from rows to advice that is kept, and what moved it."""

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from advisory.findings.enums import FindingState
from advisory.findings.models import Finding
from advisory.lubrication import keeping
from advisory.lubrication.actions import add_lubricant, record_oil_service, set_oil_arrangement
from advisory.lubrication.adapters import AskedOtherwise
from advisory.lubrication.choice import judging
from advisory.lubrication.choice.charts import charts_of
from advisory.lubrication.choice.ground import grounds_of
from advisory.lubrication.choice.judging import choose_for, refresh_choices
from advisory.lubrication.choice.warnings import stops_of, warnings_of
from advisory.lubrication.enums import Feed, Filtration, OilFamily, ServiceKind
from advisory.lubrication.models import OilAdvice
from advisory.lubrication.tasks import refresh_all_choices
from advisory.people.models import Consent, Person
from advisory.people.preferences import preferences_of
from advisory.register.enums import MeasuredQuantity, PositionKind, UnitKind
from advisory.register.models import Design, Position, Unit
from tests.cast import make_arrangement, make_build, make_unit

pytestmark = pytest.mark.django_db


def find(
    unit: Unit, value: float, seen_on: date, *, sent: bool, name: str = "Rear bearing"
) -> Finding:
    return Finding.objects.create(
        unit=unit,
        position=unit.design.positions.get(name=name),
        seen_on=seen_on,
        text="Measured",
        quantity=MeasuredQuantity.RUNNING_CLEARANCE,
        value=value,
        state=FindingState.SENT if sent else FindingState.KEPT,
        sent_at=datetime(2024, 5, 4, 9, tzinfo=UTC) if sent else None,
    )


def kept(unit: Unit) -> list[OilAdvice]:
    return list(OilAdvice.objects.filter(unit=unit, method="oil-choice").order_by("pk"))


# From rows to the case ---------------------------------------------------------------------------


def test_case_is_what_the_record_says(today: date, whole_unit: Unit, owner: Person) -> None:
    chosen = choose_for(whole_unit, owner)
    case = chosen.case.case
    front, rear = case.bearings
    assert (front.built, rear.built) == (0.0508e-3, 0.05588e-3)  # the build sheet's
    assert (front.now, front.limit) == (None, 0.115e-3)
    assert front.speed == pytest.approx(50.0 * 1.3)
    assert (case.warm_c, case.hot_c) == (pytest.approx(70.0), pytest.approx(80.0))
    assert case.pipe is not None
    assert (case.pipe.bore, case.pipe.length, case.pipe.pressure) == (0.004, 0.9, None)
    assert not case.forced_oil  # its own sump
    assert set(chosen.case.assumed) == {"unforced", "pressure"}
    assert [(out.name, out.missing) for out in chosen.case.left_out] == [
        ("Floating thrust washer", ("load",))
    ]
    assert chosen.choice.states == ("built", "limit")


def test_nothing_known_is_said_and_no_verdict_is_made_up(
    today: date, owner: Person, design: Design
) -> None:
    design.engine_speed = None
    design.save()
    unit = make_unit(owner, design, serial="bare")
    chosen = choose_for(unit, owner)
    assert chosen.choice.states == ()
    assert [out.missing for out in chosen.case.left_out] == [
        ("speed",), ("speed",), ("load", "speed"),
    ]  # fmt: skip
    assert {"feed", "sump_temperature", "pressure"} <= set(chosen.case.assumed)
    assert chosen.result["windows"] == {}
    assert stops_of(chosen, preferences_of(owner)) == []


def test_unit_without_bearings_is_judged_cold_only(today: date, owner: Person) -> None:
    design = Design.objects.create(kind=UnitKind.WATER_PUMP, name="Pump without bearings")
    chosen = choose_for(make_unit(owner, design, serial="none"), owner)
    assert chosen.choice.states == ()
    assert "starter_design" in chosen.case.assumed
    assert chosen.result["oils"][0]["hot"] == {}


def test_careful_side_of_what_is_not_known(today: date, owner: Person, design: Design) -> None:
    unit = make_unit(owner, design, serial="bare")
    Position.objects.filter(design=design, name="Rear bearing").update(
        surface_roughness=None, as_built_most=None, wear_limit=None
    )
    chosen = choose_for(unit, owner)
    (front,) = chosen.case.case.bearings
    assert front.built == 0.0635e-3  # the widest that the design allows, for none was measured
    assert "clearance_built" in chosen.case.assumed
    assert ("Rear bearing", ("clearance",)) in {
        (out.name, out.missing) for out in chosen.case.left_out
    }
    # a bearing that turns at a ratio of its own does so here
    Position.objects.filter(design=design, name="Front bearing").update(
        speed_ratio=0.5, surface_roughness=None
    )
    chosen = choose_for(unit, owner)
    assert chosen.case.case.bearings[0].speed == pytest.approx(25.0)
    assert chosen.case.case.bearings[0].surface_roughness == pytest.approx(1.6e-6)


def test_feed_is_as_the_owner_says_else_as_designed(today: date, owner: Person, unit: Unit) -> None:
    unit.design.oil_feed = Feed.PRESSURE
    unit.design.save()
    assert choose_for(unit, owner).case.case.forced_oil
    make_arrangement(unit)  # from its own sump
    assert not choose_for(unit, owner).case.case.forced_oil


def test_gravity_gives_a_pressure_and_a_pipe_that_stands_full(
    today: date, owner: Person, whole_unit: Unit
) -> None:
    whole_unit.oil_arrangements.update(feed=Feed.GRAVITY)
    pipe = choose_for(whole_unit, owner).case.case.pipe
    assert pipe is not None
    # 0.3 m of oil of 880 kg/m3
    assert pipe.pressure == pytest.approx(880.0 * 9.80665 * 0.3)
    assert pipe.stands_full


def test_gears_that_dip_into_their_sump_need_no_pump(
    today: date, owner: Person, whole_unit: Unit
) -> None:
    assert choose_for(whole_unit, owner).case.case.pumped
    whole_unit.design.kind = UnitKind.GEARBOX
    whole_unit.design.save()
    assert not choose_for(whole_unit, owner).case.case.pumped


def test_oil_as_cold_as_it_is_ever_told_is_no_fault(
    today: date, owner: Person, whole_unit: Unit
) -> None:
    whole_unit.oil_arrangements.update(sump_temperature=233.15)
    chosen = choose_for(whole_unit, owner)
    assert (chosen.case.case.cold_c, chosen.case.case.hot_c) == (
        pytest.approx(-40.0), pytest.approx(-30.0),
    )  # fmt: skip
    assert charts_of(chosen, preferences_of(owner))


# As measured since -------------------------------------------------------------------------------


def test_newest_measurement_counts_unless_it_was_built_anew_since(
    today: date, whole_unit: Unit, owner: Person, fitter: Person
) -> None:
    find(whole_unit, 0.08e-3, date(2024, 2, 1), sent=True)
    find(whole_unit, 0.09e-3, date(2024, 4, 1), sent=True)
    find(whole_unit, 0.07e-3, date(2023, 9, 1), sent=True)
    front, rear = choose_for(whole_unit, owner).case.case.bearings
    assert rear.now == 0.09e-3
    assert front.now == front.built  # nobody measured it: as it was built
    make_build(whole_unit, fitter, date(2024, 5, 1))
    assert [b.now for b in choose_for(whole_unit, owner).case.case.bearings] == [None, None]


def test_what_the_owner_told_nobody_is_shown_to_nobody(
    today: date, whole_unit: Unit, owner: Person, fitter: Person
) -> None:
    find(whole_unit, 0.1e-3, date(2024, 4, 1), sent=False)
    assert choose_for(whole_unit, owner).case.case.bearings[1].now == 0.1e-3
    assert choose_for(whole_unit, fitter).case.case.bearings[1].now is None
    choose_for(whole_unit, owner)
    rows = kept(whole_unit)
    assert [row.owner_alone for row in rows] == [True, False]
    from advisory.people import rules
    from advisory.people.rules import Permission

    for person, seen in ((owner, {True, False}), (fitter, {False})):
        visible = rules.scope(person, Permission.VIEW_USE, OilAdvice.objects.all())
        assert {row.owner_alone for row in visible} == seen


def test_no_film_at_the_measured_clearance_is_to_stop(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    prefs = preferences_of(owner)
    assert stops_of(choose_for(whole_unit, owner), prefs) == []
    Position.objects.filter(name="Rear bearing").update(load=30_000.0, surface_roughness=3e-6)
    find(whole_unit, 0.11e-3, date(2024, 4, 1), sent=True)
    (stop,) = stops_of(choose_for(whole_unit, owner), prefs)
    assert "no film in Rear bearing" in stop
    assert "Stop, and ask the workshop." in stop


def test_measured_past_its_limit_is_to_stop_whatever_the_film(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    find(whole_unit, 0.115e-3, date(2024, 4, 1), sent=True)
    chosen = choose_for(whole_unit, owner)
    assert any(chosen.result["windows"]["now"])
    (stop,) = stops_of(chosen, preferences_of(owner))
    assert "4.5 thou" in stop
    assert "No oil makes up for that" in stop


# What an oil can do besides ----------------------------------------------------------------------


def test_detergent_is_warned_of_in_an_engine_with_how_it_is_known(
    today: date, unit: Unit, owner: Person, fitter: Person
) -> None:
    assert "Detergent oil" not in [w.title for w in warnings_of(choose_for(unit, owner))]
    unit.design.kind = UnitKind.ENGINE
    unit.design.save()

    def said() -> str:
        return next(
            w.text for w in warnings_of(choose_for(unit, owner)) if w.title == "Detergent oil"
        )

    assert "is not known" in said()
    make_build(unit, fitter)
    assert "rebuilt on 1 March 2023" in said()
    record_oil_service(unit=unit, date=date(2024, 5, 2), kind=ServiceKind.FLUSH, by=owner)
    assert "flushed on 2 May 2024" in said()


def test_active_sulphur_is_warned_of_where_there_is_bronze(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    assert [w.title for w in warnings_of(choose_for(whole_unit, owner))] == []
    whole_unit.design.lubricant_code = "gear-90"
    whole_unit.design.save()
    (warned,) = warnings_of(choose_for(whole_unit, owner))
    assert "Floating thrust washer" in warned.text
    assert warned.source == "common practice, no source"
    whole_unit.design.positions.filter(kind=PositionKind.THRUST_WASHER).update(material="")
    assert warnings_of(choose_for(whole_unit, owner)) == []


def test_start_so_cold_that_oil_sets_is_warned_of(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    def titles(cold_c: float) -> list[str]:
        chosen = choose_for(whole_unit, owner, AskedOtherwise(cold_c=cold_c))
        return [warned.title for warned in warnings_of(chosen)]

    assert titles(-10.0) == []
    assert titles(-12.0) == ["So cold a start"]


# Keeping -----------------------------------------------------------------------------------------


def test_own_cans_are_judged_and_not_kept(today: date, whole_unit: Unit, owner: Person) -> None:
    add_lubricant(
        by=owner, name="My can", family=OilFamily.ENGINE,
        kinematic_viscosity_40=120e-6, kinematic_viscosity_100=12.5e-6,
    )  # fmt: skip
    chosen = choose_for(whole_unit, owner)
    assert "My can" in chosen.case.names.values()
    assert "My can" not in kept(whole_unit)[0].result["names"].values()


def test_what_is_asked_otherwise_is_not_kept(today: date, whole_unit: Unit, owner: Person) -> None:
    chosen = choose_for(whole_unit, owner, AskedOtherwise(cold_c=-10.0, pressure=2e5))
    assert chosen.case.case.cold_c == -10.0
    assert chosen.choice.cold.flow is not None
    assert kept(whole_unit) == []


def test_choice_is_kept_when_it_changes_and_says_what_moved_it(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    choose_for(whole_unit, owner)
    choose_for(whole_unit, owner)
    assert len(kept(whole_unit)) == 1
    find(whole_unit, 0.1e-3, date(2024, 4, 1), sent=True)
    choose_for(whole_unit, owner)
    set_oil_arrangement(
        unit=whole_unit, by=owner, from_date=date(2024, 6, 1), feed=Feed.OWN_SUMP,
        filtration=Filtration.BYPASS, sump_temperature=273.15 + 95.0, feed_pipe_bore=0.004,
        feed_pipe_length=0.9,
    )  # fmt: skip
    choose_for(whole_unit, owner)
    first, measured, hotter = kept(whole_unit)
    assert first.moved_by == []
    assert [moved["name"] for moved in measured.moved_by] == ["clearance_now"]
    (moved,) = hotter.moved_by
    assert moved["name"] == "temperatures"
    assert (moved["before"]["hot_c"], moved["after"]["hot_c"]) == (
        pytest.approx(80.0), pytest.approx(105.0),
    )  # fmt: skip


def test_kept_choice_can_be_computed_again_from_its_inputs(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    from advisory.engineering.oil_choice import case_from_record, oil_choice

    choose_for(whole_unit, owner)
    row = kept(whole_unit)[0]
    again = oil_choice(case_from_record(row.inputs))
    window = [oil.key for oil, held in zip(again.case.oils, again.window[0], strict=True) if held]
    assert window == row.result["windows"]["built"]


def test_new_version_of_the_method_computes_anew_and_says_so(
    today: date, whole_unit: Unit, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose_for(whole_unit, owner)
    assert refresh_all_choices() == 0
    stricter = judging.OIL_CHOICE

    def compute(records):
        answers = stricter.compute(records)
        for answer in answers:
            answer["windows"] = {state: keys[1:] for state, keys in answer["windows"].items()}
        return answers

    def result(case, choice):
        return compute([stricter.record(case.case.as_record(), whole(case, choice))])[0]

    whole = judging.choice_result
    monkeypatch.setattr(judging, "METHOD_VERSION", "2")
    monkeypatch.setattr(judging, "choice_result", result)
    monkeypatch.setattr(
        judging,
        "OIL_CHOICE",
        keeping.AdviceMethod("oil-choice", "2", stricter.record, compute),
    )
    assert refresh_all_choices() == 1
    assert refresh_all_choices() == 0
    row = kept(whole_unit)[-1]
    assert row.method_version == "2"
    assert row.moved_by == [{"name": "method", "before": "1", "after": "2"}]


def test_night_passes_over_what_stands(
    today: date, whole_unit: Unit, owner: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_unit(owner, whole_unit.design, serial="second")
    assert refresh_choices(Unit.objects.values_list("pk", flat=True)) == 2

    def never(case):
        raise AssertionError("computed again")

    with monkeypatch.context() as patch:
        patch.setattr(judging, "choose", never)
        assert refresh_all_choices() == 0
    find(whole_unit, 0.1e-3, date(2024, 4, 1), sent=False)
    assert refresh_all_choices() == 1
    assert kept(whole_unit)[-1].owner_alone


def test_choices_cost_the_same_for_one_and_three(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    units = [whole_unit, *(make_unit(owner, whole_unit.design, serial=str(n)) for n in range(2))]
    loaded = list(Unit.objects.select_related("design", "owner").order_by("pk"))
    assert len(loaded) == len(units)
    refresh_all_choices()
    counts = []
    for some in (loaded[:1], loaded):
        with CaptureQueriesContext(connection) as queries:
            grounds_of(some, owner)
        counts.append(len(queries))
        with CaptureQueriesContext(connection) as queries:
            refresh_choices([unit.pk for unit in some])
        counts.append(len(queries))
    assert counts[:2] == counts[2:]


def test_consent_is_needed_for_the_workshops_view(
    today: date, whole_unit: Unit, consent: Consent, fitter: Person
) -> None:
    find(whole_unit, 0.1e-3, date(2024, 4, 1), sent=True)
    assert choose_for(whole_unit, fitter).case.case.bearings[1].now == 0.1e-3
    consent.withdrawn_at = datetime(2024, 6, 1, tzinfo=UTC)
    consent.save()
    assert choose_for(whole_unit, fitter).case.case.bearings[1].now is None


def test_first_that_only_the_owner_is_told_came_from_what_all_were_told(
    today: date, whole_unit: Unit, owner: Person
) -> None:
    choose_for(whole_unit, owner)
    find(whole_unit, 0.1e-3, date(2024, 4, 1), sent=False)
    choose_for(whole_unit, owner)
    shared, private = kept(whole_unit)
    assert (shared.owner_alone, private.owner_alone) == (False, True)
    assert [moved["name"] for moved in private.moved_by] == ["clearance_now"]
