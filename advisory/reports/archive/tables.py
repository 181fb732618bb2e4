"""What an archive holds: its tables in the order in which they hang on each other."""

from typing import Any

from django.db.models import Field, FileField, ForeignKey, Model

from advisory.findings.models import (
    Answer,
    AskedMeasurement,
    CauseLine,
    Finding,
    FindingPhoto,
    Inspection,
    InspectionStep,
    MeasuredValue,
    Measuring,
    Way,
)
from advisory.lubrication.models import Lubricant, OilArrangement, OilService
from advisory.notices.models import FollowUp
from advisory.people.models import Consent, Person
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.models.bulletins import Bulletin, BulletinUnit
from advisory.register.models import (
    Build,
    BuildMeasurement,
    BuildPhoto,
    Car,
    Design,
    DismantlingStep,
    Fitting,
    MaintenanceInstruction,
    Odometer,
    Position,
    SheetEntry,
    Unit,
)
from advisory.usage.models import HourReading, LayUp, Reading

# Counts up when an archive is written in another way.
FORMAT = 2
P = Permission
# What is asked of each table; the order is that in which they hang on each other.
TABLES: tuple[tuple[type[Model], Permission], ...] = (
    (Design, P.VIEW_DESIGN),
    (Position, P.VIEW_DESIGN),
    (MaintenanceInstruction, P.VIEW_DESIGN),
    (DismantlingStep, P.VIEW_DESIGN),
    (Lubricant, P.VIEW_LUBRICANT),
    (Car, P.VIEW_USE),
    (Odometer, P.VIEW_USE),
    (Unit, P.VIEW_UNIT),
    (Fitting, P.VIEW_USE),
    (Build, P.VIEW_UNIT),
    (SheetEntry, P.VIEW_UNIT),
    (BuildMeasurement, P.VIEW_UNIT),
    (BuildPhoto, P.VIEW_UNIT),
    (Reading, P.VIEW_USE),
    (HourReading, P.VIEW_USE),
    (LayUp, P.VIEW_USE),
    (OilArrangement, P.VIEW_USE),
    (OilService, P.VIEW_USE),
    (Finding, P.VIEW_FINDING),
    (Measuring, P.VIEW_USE),
    (MeasuredValue, P.VIEW_USE),
    (Answer, P.VIEW_FINDING),
    (AskedMeasurement, P.VIEW_FINDING),
    (Way, P.VIEW_FINDING),
    (FindingPhoto, P.VIEW_FINDING),
    (CauseLine, P.VIEW_DESIGN),
    (Inspection, P.VIEW_USE),
    (InspectionStep, P.VIEW_USE),
    (PlanItem, P.VIEW_USE),
    (WorkDone, P.VIEW_USE),
    (Bulletin, P.WRITE_BULLETIN),
    (BulletinUnit, P.VIEW_USE),
    (FollowUp, P.VIEW_USE),
    (Consent, P.KEEP_ACCOUNT),
)
# What whoever wrote it takes along, and who was only told doesn't.
OF_THE_WRITER = frozenset({Bulletin, BulletinUnit})
# May be nobody's, or somebody else's: those that other rows name go along, as far as may be seen.
NAMED: frozenset[type[Model]] = frozenset({Design, Lubricant})
OF_A_DESIGN: tuple[type[Model], ...] = (Position, MaintenanceInstruction, DismantlingStep)
# Tells one form from another, and nobody anything; or which letter in the outbox it went with.
LEFT_OUT = frozenset({"client_key", "checked_digest", "mail"})
# Who is named, and which organisations: as much of them as the asker may see.
PERSON_COLUMNS = (
    "id",
    "name",
    "email",
    "zone",
    "small_length_unit",
    "distance_unit",
    "volume_unit",
    "temperature_unit",
)
ORGANISATION_COLUMNS = ("id", "kind", "name", "email", "phone")
MEMBERSHIP_COLUMNS = ("person", "role")


def file_of(model: type[Model]) -> str:
    """Return the name of a table's file."""
    return f"{model._meta.model_name}.csv"


def columns_of(model: type[Model]) -> list["Field[Any, Any]"]:
    """Return the columns of a table that go into an archive."""
    return [field for field in model._meta.concrete_fields if field.name not in LEFT_OUT]


def person_columns(model: type[Model]) -> list[str]:
    """Return the columns of a table that name a person."""
    return [
        field.name
        for field in columns_of(model)
        if isinstance(field, ForeignKey) and field.related_model is Person
    ]


def has_photos(model: type[Model]) -> bool:
    """Say whether a table's rows have pictures."""
    return any(isinstance(field, FileField) for field in model._meta.concrete_fields)


def photo_name(model: type[Model], key: object) -> str:
    """Return the name of a row's picture."""
    return f"photos/{model._meta.model_name}-{key}.jpg"
