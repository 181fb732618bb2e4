"""What the scenario's workshops made: designs and built units."""

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from advisory.common.quantities import FORCE, LENGTH, TIME, VOLUME
from advisory.config.demo import files
from advisory.config.demo.cast import Cast
from advisory.people.models import Person
from advisory.register import actions
from advisory.register.actions import PositionData, StepData
from advisory.register.models import Design, Unit

RPM = 1 / 60
LIMITS = ("look_into_above", "wear_limit", "form_limit", "run_out_limit", "flatness_limit")
SIZES = ("diameter", "length", "surface_roughness")


def add_designs(cast: Cast) -> dict[str, Design]:
    """Write each design with its positions and the workshop's instructions."""
    designs = {}
    for entry in files.read("designs.json"):
        by = cast.managers[entry["workshop"]]
        design = actions.create_design(
            by=by,
            workshop=cast.organisations[entry["workshop"]],
            kind=entry["kind"],
            name=entry["name"],
            description=entry["description"],
            speed_ratio=entry["speed_ratio"],
            engine_speed=entry["engine_speed_rpm"] * RPM,
            sump_volume=files.si(entry["sump_volume"], VOLUME),
            lubricant_code=entry["lubricant_code"],
            oil_feed=entry["oil_feed"],
            oil_filtration=entry["oil_filtration"],
            level_datum=entry["level_datum"],
            positions=[_position(position) for position in entry["positions"]],
            confirm=True,
        )
        for instruction in entry["instructions"]:
            actions.set_instruction(
                design=design,
                work=instruction["work"],
                by=by,
                distance=files.si(instruction.get("distance"), LENGTH),
                hours=files.si(instruction.get("hours"), TIME),
                months=instruction.get("months"),
                season=instruction.get("season", ""),
                text=instruction["text"],
                needs=instruction.get("needs", ""),
            )
        if steps := entry.get("dismantling"):
            actions.set_dismantling(
                design=design, by=by, steps=[StepData(**step) for step in steps]
            )
        designs[entry["key"]] = design
    return designs


def _position(entry: dict[str, Any]) -> PositionData:
    least, most = entry.get("as_built", (None, None))
    planes, directions = entry.get("measured", (0, 1))
    lengths: dict[str, Any] = {
        name: files.si(entry.get(name), LENGTH) for name in (*SIZES, *LIMITS)
    }
    return PositionData(
        kind=entry["kind"],
        name=entry["name"],
        material=entry.get("material", ""),
        seal_material=entry.get("seal_material", ""),
        planes=planes,
        directions=directions,
        load=files.si(entry.get("load"), FORCE),
        as_built_least=files.si(least, LENGTH),
        as_built_most=files.si(most, LENGTH),
        **lengths,
    )


def build_unit(entry: dict[str, Any], design: Design, by: Person, today: date) -> Unit:
    """Put a unit on its workshop's books with its build sheet, measured and signed."""
    assert design.workshop is not None
    unit = actions.add_unit(by=by, design=design, workshop=design.workshop, serial=entry["serial"])
    build = actions.start_build(
        unit=unit,
        by=by,
        built_on=today - timedelta(days=entry["built_days_ago"]),
        new_white_metal=entry["new_white_metal"],
    )
    positions = {position.name: position for position in design.positions.all()}
    for name, typed in entry["measurements"].items():
        actions.record_measurement(build=build, position=positions[name], by=by, typed=typed)
    for where, places in entry.get("sheet", {}).items():
        for name, text in places.items():
            actions.write_entry(
                build=build,
                by=by,
                position=positions[where] if where else None,
                name=name,
                text=text,
            )
    signed = datetime.combine(build.built_on, time(16, 30), tzinfo=ZoneInfo(by.zone))
    actions.sign_build(build=build, by=by, confirm=True, at=signed)
    return unit
