"""A unit on the bench whose sheet asks for sizes: what a fitter would type into it."""

from datetime import date

from advisory.people.models import Organisation, Person
from advisory.register.actions import start_build
from advisory.register.enums import LipMaterial, PositionKind
from advisory.register.models import Build, Design, Position
from tests.cast import make_unit

TODAY = date(2024, 6, 10)
INCH, THOU, MM = 0.0254, 25.4e-6, 1e-3


def make_bench_design(workshop: Organisation) -> Design:
    """Add a design with bearings measured by sizes, and one position of each other kind."""
    design = Design.objects.create(
        workshop=workshop, kind="supercharger", name="Bench pattern", speed_ratio=1.25,
        engine_speed=2600 / 60,
    )  # fmt: skip
    bearing = {
        "kind": PositionKind.JOURNAL_BEARING, "diameter": 1.5 * INCH, "planes": 2, "directions": 2,
        "as_built_least": 1.0 * THOU, "as_built_most": 2.0 * THOU, "wear_limit": 4 * THOU,
        "form_limit": 0.4 * THOU, "run_out_limit": 1.0 * THOU,
    }  # fmt: skip
    rows = (
        {**bearing, "name": "Front bearing"},
        {**bearing, "name": "Rear bearing"},
        {"kind": PositionKind.THRUST_WASHER, "name": "Thrust washer",
         "as_built_least": 3 * THOU, "as_built_most": 6 * THOU},
        {"kind": PositionKind.LIP_SEAL, "name": "Drive seal", "diameter": 38 * MM,
         "seal_material": LipMaterial.NITRILE, "as_built_least": 0.0, "as_built_most": 0.01 * MM},
        {"kind": PositionKind.COVER_PLATE, "name": "Rear cover", "as_built_least": 0.0,
         "as_built_most": 0.05 * MM, "flatness_limit": 0.03 * MM},
        {"kind": PositionKind.FASTENER_SET, "name": "Cover studs"},
        {"kind": PositionKind.FEED_PIPE, "name": "Feed pipe"},
        {"kind": PositionKind.WATER_JACKET, "name": "Jacket"},
    )  # fmt: skip
    for order, row in enumerate(rows, start=1):
        Position.objects.create(design=design, order=order, **row)
    return design


def start_bench_sheet(workshop: Organisation, fitter: Person) -> Build:
    """Begin a sheet for a unit of that design."""
    unit = make_unit(None, make_bench_design(workshop), serial="B-1", workshop=workshop)
    return start_build(unit=unit, by=fitter, built_on=TODAY)


# Front bearing: journal 1.5000, 1.5000 | 1.4999, 1.4999; bore 1.5015 all over: 1.55 thou.
FRONT = {
    "journal_1a": "1.5", "journal_1b": "38.1 mm", "journal_2a": "-0.1", "journal_2b": "1.4999",
    "bore_1a": "+1.5", "bore_1b": "1.5015", "bore_2a": "38.1381 mm", "bore_2b": "+1.5 thou",
}  # fmt: skip
