from dataclasses import replace

import pytest
from django.apps import apps
from django.core.management import call_command

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.people.models import Organisation, Person
from advisory.register.actions import PositionData, create_design, set_instruction
from advisory.register.enums import BearingMaterial, PositionKind, UnitKind
from advisory.register.models import Design, MaintenanceInstruction
from advisory.register.queries import designs_for
from advisory.register.starter_designs import SOURCES, STARTER_DESIGNS, sync_starter_designs

JOURNAL = PositionData(
    kind=PositionKind.JOURNAL_BEARING,
    name="Front main",
    diameter=0.05,
    length=0.05,
    material=BearingMaterial.TIN_WHITE_METAL,
    as_built_least=0.04e-3,
    as_built_most=0.075e-3,
    look_into_above=0.1e-3,
    wear_limit=0.15e-3,
)


def make(by: Person, workshop: Organisation, **fields: object) -> Design:
    given = {"kind": "engine", "name": "Four", "positions": [JOURNAL], **fields}
    return create_design(by=by, workshop=workshop, **given)  # type: ignore[arg-type]


def test_design_is_kept_with_its_positions_in_order(fitter: Person, workshop: Organisation) -> None:
    rear = replace(JOURNAL, name="Rear main")
    design = make(fitter, workshop, positions=[JOURNAL, rear], engine_speed=40.0)
    assert list(design.positions.values_list("order", "name")) == [
        (1, "Front main"), (2, "Rear main"),
    ]  # fmt: skip
    assert design.version == 1


def test_same_name_becomes_the_next_version_when_said(
    fitter: Person, workshop: Organisation
) -> None:
    make(fitter, workshop)
    with pytest.raises(Question, match="version 2"):
        make(fitter, workshop)
    assert make(fitter, workshop, confirm=True).version == 2


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"name": " "}, "name"),
        ({"kind": "kettle"}, "kind"),
        ({"positions": []}, "positions"),
        ({"speed_ratio": 0.0}, "speed_ratio"),
        ({"speed_ratio": float("nan")}, "speed_ratio"),
        ({"sump_volume": -1e-3}, "sump_volume"),
        ({"positions": [JOURNAL, replace(JOURNAL, kind="wheel")]}, "positions-1-kind"),
        ({"positions": [replace(JOURNAL, name="")]}, "positions-0-name"),
        ({"positions": [replace(JOURNAL, material="cheese")]}, "positions-0-material"),
        ({"positions": [replace(JOURNAL, diameter=0.0)]}, "positions-0-diameter"),
        ({"positions": [replace(JOURNAL, load=float("inf"))]}, "positions-0-load"),
        ({"positions": [replace(JOURNAL, wear_limit=0.09e-3)]}, "positions-0-wear_limit"),
        ({"positions": [replace(JOURNAL, as_built_most=0.03e-3)]}, "positions-0-as_built_most"),
    ],
)
def test_design_that_makes_no_sense_is_refused(
    fitter: Person, workshop: Organisation, fields: dict[str, object], field: str
) -> None:
    with pytest.raises(Refused) as refused:
        make(fitter, workshop, **fields)
    assert refused.value.field == field
    assert not workshop.designs.exists()


def test_instruction_is_set_and_set_anew(fitter: Person, design: Design) -> None:
    set_instruction(design=design, work="oil_change", by=fitter, distance=2_000e3, months=12)
    set_instruction(design=design, work="oil_change", by=fitter, months=6, text=" hot ")
    row = MaintenanceInstruction.objects.get()
    assert (row.distance, row.months, row.text) == (None, 6, "hot")
    with pytest.raises(Refused, match="Enter a distance"):
        set_instruction(design=design, work="oil_change", by=fitter)
    with pytest.raises(Refused):
        set_instruction(design=design, work="polishing", by=fitter, months=1)
    with pytest.raises(Refused):
        set_instruction(design=design, work="oil_change", by=fitter, distance=float("nan"))


def test_only_its_workshop_writes_a_design(
    design: Design, starter_design: Design, owner: Person, other_fitter: Person, officer: Person,
    workshop: Organisation, fitter: Person, club: Organisation,
) -> None:  # fmt: skip
    for person in (owner, other_fitter, officer):
        with pytest.raises(NotAllowed):
            make(person, workshop)
        with pytest.raises(NotAllowed):
            set_instruction(design=design, work="oil_change", by=person, months=1)
    with pytest.raises(NotAllowed):
        set_instruction(design=starter_design, work="oil_change", by=fitter, months=1)
    with pytest.raises(NotAllowed):
        make(officer, club)


def test_designs_are_seen_by_their_workshop_and_starters_by_everybody(
    design: Design, starter_design: Design, fitter: Person, other_fitter: Person, stranger: Person
) -> None:
    assert {design, starter_design} <= set(designs_for(fitter))
    for person in (other_fitter, stranger):
        assert design not in designs_for(person)
        assert starter_design in designs_for(person)


# Starter designs --------------------------------------------------------------------------------


@pytest.mark.django_db
def test_starters_are_there_after_migration_and_only_once() -> None:
    names = {starter.name for starter in STARTER_DESIGNS}
    assert set(Design.objects.filter(workshop=None).values_list("name", flat=True)) == names
    assert sync_starter_designs() == 0
    call_command("migrate", "register", verbosity=0)
    assert Design.objects.filter(workshop=None).count() == len(STARTER_DESIGNS)


@pytest.mark.django_db
def test_starter_that_was_lost_comes_back_whole() -> None:
    Design.objects.filter(workshop=None).delete()
    assert sync_starter_designs() == len(STARTER_DESIGNS)
    for starter in STARTER_DESIGNS:
        assert Design.objects.get(name=starter.name).positions.count() == len(starter.positions)


@pytest.mark.django_db
def test_no_starter_where_there_are_no_tables(monkeypatch: pytest.MonkeyPatch) -> None:
    from django.db import connection

    monkeypatch.setattr(connection.introspection, "table_names", lambda *_args, **_kw: [])
    Design.objects.filter(workshop=None).delete()
    config = apps.get_app_config("register")
    from django.db.models.signals import post_migrate

    post_migrate.send(
        sender=config, app_config=config, using="default", verbosity=0, interactive=False
    )
    assert not Design.objects.exists()


def test_starters_serve_each_kind_that_is_promised() -> None:
    kinds = [starter.kind for starter in STARTER_DESIGNS]
    assert kinds == [UnitKind.ENGINE, UnitKind.SUPERCHARGER, UnitKind.GEARBOX]
    assert all(source for source in SOURCES.values())


# The rule of the trade, in the units that it is told in: 0.75 to 1.5 thou an inch of diameter
# (common practice, no source).
def test_starters_clearances_follow_the_rule_of_the_trade() -> None:
    for starter in STARTER_DESIGNS:
        for position in starter.positions:
            if position.kind != PositionKind.JOURNAL_BEARING:
                continue
            assert position.diameter is not None
            inches = position.diameter / 0.0254
            assert position.as_built_least == pytest.approx(0.75 * inches * 25.4e-6)
            assert position.as_built_most == pytest.approx(1.5 * inches * 25.4e-6)


def test_starters_positions_would_be_taken_from_a_workshop_too() -> None:
    from advisory.register.actions.positions import check_position

    for starter in STARTER_DESIGNS:
        for position in starter.positions:
            check_position(position)
