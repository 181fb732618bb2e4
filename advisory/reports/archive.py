"""Everything that an owner, or a workshop, has here, to take along: CSV and photos in one ZIP.

Each table is a CSV file (RFC 4180) with the names of its columns as they are kept, sizes in SI, and
keys by which the tables hang together. What is somebody else's, and what would open a door, stays.
"""

import csv
import io
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Field, FileField, ForeignKey, Model, Q, QuerySet
from django.http import StreamingHttpResponse
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.findings.models import (
    Answer,
    AskedMeasurement,
    Finding,
    FindingPhoto,
    MeasuredValue,
    Measuring,
    Way,
)
from advisory.lubrication.models import Lubricant, OilArrangement, OilService
from advisory.people import rules
from advisory.people.access import Access
from advisory.people.models import Consent, Organisation, Person
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem, WorkDone
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
from advisory.reports.csv_tables import harmless
from advisory.usage.models import HourReading, LayUp, Reading

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
    (Measuring, P.VIEW_USE),
    (MeasuredValue, P.VIEW_USE),
    (Finding, P.VIEW_FINDING),
    (FindingPhoto, P.VIEW_FINDING),
    (Answer, P.VIEW_FINDING),
    (AskedMeasurement, P.VIEW_FINDING),
    (Way, P.VIEW_FINDING),
    (PlanItem, P.VIEW_USE),
    (WorkDone, P.VIEW_USE),
    (Consent, P.KEEP_ACCOUNT),
)
# Tells one form from another, and nobody anything.
LEFT_OUT = frozenset({"client_key", "checked_digest"})
A_CHUNK = 2000
_STAMP = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class _Whose:
    """Whose archive it is: a person's own, or a workshop's; and who asks."""

    by: Person
    workshop: Organisation | None = None

    def rows(self, model: type[Model], permission: Permission) -> "QuerySet[Any]":
        """Return the rows of a table that go into it, no more than the asker may see."""
        access: Access = model.access  # type: ignore[attr-defined]
        rows = rules.scope(self.by, permission, model._default_manager.all())
        if self.workshop is None:
            path = access.owner
            owned = Q(**{path: self.by}) if path else Q(pk=None)
            return rows.filter(owned).distinct().order_by("pk")
        paths = [path for path in (access.workshop, access.organisation) if path]
        theirs = Q(pk=None)
        for path in paths:
            theirs |= Q(**{path: self.workshop})
        return rows.filter(theirs).distinct().order_by("pk")

    def names(self, person: Person | None) -> str:
        """Name a person: the asker, and in a workshop's archive its own people."""
        if person is None:
            return ""
        return person.name if self.workshop is not None or person == self.by else ""


def archive_of(by: Person) -> Iterator[bytes]:
    """Return, piece by piece, an archive of everything of a person's own."""
    audit.record("take_archive", by, by=by)
    return _archive(_Whose(by))


def archive_of_workshop(workshop: Organisation, by: Person) -> Iterator[bytes]:
    """Return, piece by piece, an archive of a workshop, as far as its owners let it see.

    Raises
    ------
    NotAllowed
        For who doesn't lead it.
    """
    rules.require(by, Permission.MANAGE_ORGANISATION, workshop)
    audit.record("take_archive", workshop, by=by)
    return _archive(_Whose(by, workshop))


def zip_answer(pieces: Iterator[bytes], name: str) -> StreamingHttpResponse:
    """Answer with an archive as it is made."""
    answer = StreamingHttpResponse(pieces, content_type="application/zip")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


class _Pipe(io.RawIOBase):
    """What is written on one side waits to be taken on the other."""

    def __init__(self) -> None:
        super().__init__()
        self.waiting: list[bytes] = []

    def writable(self) -> bool:
        return True

    def write(self, piece: Any) -> int:
        self.waiting.append(bytes(piece))
        return len(piece)

    def take(self) -> bytes:
        taken = b"".join(self.waiting)
        self.waiting.clear()
        return taken


def _archive(whose: _Whose) -> Iterator[bytes]:
    """Write the archive; no more of it is held at once than a table's rows and a photo."""
    pipe = _Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(_named("README.txt"), _about())
        for model, permission in TABLES:
            rows = whose.rows(model, permission)
            with archive.open(_named(f"{model._meta.model_name}.csv"), "w") as file:
                file.write("\ufeff".encode())
                for number, line in enumerate(_lines(model, rows, whose)):
                    file.write(line.encode())
                    if number % A_CHUNK == 0:
                        yield pipe.take()
            for name, content in _photos(model, rows):
                archive.writestr(_named(name), content)
                yield pipe.take()
    yield pipe.take()


def _named(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _STAMP)
    info.compress_type = zipfile.ZIP_DEFLATED
    return info


def _about() -> str:
    return _(
        "Everything that was yours here on the day this was made.\n\n"
        "Each CSV file is one table (RFC 4180, UTF-8). `id` is a row's own key; a column that bears"
        " the name of a table holds the key of its row there.\n"
        "Sizes and distances are metres, volumes cubic metres, temperatures kelvin, times seconds,"
        " forces newtons, speeds of turning radians a second, flows cubic metres a second.\n"
        "A cell that a spreadsheet would take for a formula begins with an apostrophe that is not"
        " part of it; one that began with an apostrophe has a second one.\n"
        "Photos lie in photos/, named by their table and key.\n"
    )


def _columns(model: type[Model]) -> list["Field[Any, Any]"]:
    fields = [field for field in model._meta.concrete_fields if field.name not in LEFT_OUT]
    return list(fields)


def _lines(model: type[Model], rows: "QuerySet[Any]", whose: _Whose) -> Iterator[str]:
    """Write a table as CSV, some rows at a time."""
    columns = _columns(model)
    people = [
        column.name
        for column in columns
        if isinstance(column, ForeignKey) and column.related_model is Person
    ]
    yield _line([column.name for column in columns])
    for row in rows.select_related(*people).iterator(A_CHUNK):
        yield _line([_cell(row, column, whose) for column in columns])


def _cell(row: Model, column: "Field[Any, Any]", whose: _Whose) -> object:
    if isinstance(column, ForeignKey):
        if column.related_model is Person:
            return whose.names(getattr(row, column.name))
        return getattr(row, column.attname)
    if isinstance(column, FileField):
        return _photo_name(row)
    value = getattr(row, column.name)
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, float):
        return repr(value)
    return value


def _line(cells: Sequence[object]) -> str:
    text = io.StringIO()
    csv.writer(text).writerow([harmless(cell) for cell in cells])
    return text.getvalue()


def _photo_name(row: Model) -> str:
    return f"photos/{row._meta.model_name}-{row.pk}.jpg"


def _photos(model: type[Model], rows: "QuerySet[Any]") -> Iterator[tuple[str, bytes]]:
    if not any(isinstance(column, FileField) for column in model._meta.concrete_fields):
        return
    for row in rows.iterator(A_CHUNK):
        try:
            with row.file.open("rb") as file:
                yield _photo_name(row), file.read()
        except FileNotFoundError:
            continue  # its row says that there was one
