"""Everything that an owner, or a workshop, has here, to take along: CSV and photos in one ZIP.

Each table is a CSV file (RFC 4180) with the names of its columns as they are kept, sizes in SI, and
keys by which the tables hang together. What is somebody else's, and what would open a door, stays.
"""

import csv
import io
import json
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from typing import Any

from django.db.models import Field, FileField, ForeignKey, JSONField, Model, Q, QuerySet
from django.http import StreamingHttpResponse
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.findings.models import Answer
from advisory.people import rules
from advisory.people.access import Access
from advisory.people.enums import ConsentScope
from advisory.people.models import Consent, Membership, Organisation, Person
from advisory.people.rules import Permission
from advisory.register.models import Build, Design
from advisory.reports.archive.tables import (
    FORMAT,
    MEMBERSHIP_COLUMNS,
    NAMED,
    OF_A_DESIGN,
    OF_THE_WRITER,
    ORGANISATION_COLUMNS,
    PERSON_COLUMNS,
    TABLES,
    columns_of,
    file_of,
    has_photos,
    person_columns,
    photo_name,
)
from advisory.reports.csv_tables import harmless

A_CHUNK = 2000
# By which a spreadsheet knows UTF-8.
_MARK = "\ufeff"
_STAMP = (1980, 1, 1, 0, 0, 0)


@dataclass(frozen=True)
class _Whose:
    """Whose archive it is: a person's own, or a workshop's; and who asks."""

    by: Person
    workshop: Organisation | None = None

    def rows(self, model: type[Model], permission: Permission) -> "QuerySet[Any]":
        """Return the rows of a table that go into it, no more than the asker may see."""
        # items that no longer apply go along: their cycles are not forgotten
        everything = getattr(model, "everything", model._default_manager).all()
        if model is Consent and self.workshop is not None:
            return self._consents().order_by("pk")
        rows = rules.scope(self.by, permission, everything)
        return rows.filter(self._theirs(model)).distinct().order_by("pk")

    def _theirs(self, model: type[Model]) -> Q:
        """Say what rows of a table must be, besides being seen by the asker."""
        access: Access = model.access  # type: ignore[attr-defined]
        if self.workshop is None:
            theirs = Q(pk=None)
            if access.owner and model not in OF_THE_WRITER:
                theirs = Q(**{access.owner: self.by})
        else:
            theirs = Q(pk=None)
            for path in (access.workshop, access.organisation):
                if path:
                    theirs |= Q(**{path: self.workshop})
        if model in NAMED:
            theirs |= self._named(model)
        if model in OF_A_DESIGN:
            designs = self.rows(Design, Permission.VIEW_DESIGN).order_by()
            theirs |= Q(design__in=designs.values("pk"))
        return theirs

    def _named(self, model: type[Model]) -> Q:
        """Say of rows that another table of the archive names them, as an oil of the catalogue."""
        named = Q(pk=None)
        for other, permission in TABLES:
            if other in NAMED or other in OF_A_DESIGN:
                continue
            for field in columns_of(other):
                if isinstance(field, ForeignKey) and field.related_model is model:
                    rows = self.rows(other, permission).order_by()
                    keys = rows.filter(**{f"{field.name}__isnull": False}).values(field.attname)
                    named |= Q(pk__in=keys)
        return named

    @cached_property
    def there(self) -> dict[type[Model], set[int]]:
        """Return by table which of the rows that may be somebody else's are in the archive."""
        return {
            model: set(self.rows(model, permission).order_by().values_list("pk", flat=True))
            for model, permission in TABLES
            if model in NAMED
        }

    def _consents(self) -> "QuerySet[Consent]":
        return Consent.objects.filter(
            organisation=self.workshop, scope=ConsentScope.RECORDS, withdrawn_at=None
        )

    @cached_property
    def known(self) -> dict[int, Person]:
        """Return by key the people whom the asker's pages name: who signed, answered, consents."""
        builds = self.rows(Build, Permission.VIEW_UNIT)
        answers = self.rows(Answer, Permission.VIEW_FINDING)
        signers = Person.objects.filter(
            Q(pk__in=builds.values("signed_by"))
            | Q(pk__in=builds.values("checked_by"))
            | Q(pk__in=answers.values("by"))
        )
        named = {person.pk: person for person in signers}
        if self.workshop is not None:
            members = Person.objects.filter(memberships__organisation=self.workshop)
            owners = rules.consenting(self.workshop, ConsentScope.RECORDS)
            named |= {person.pk: person for person in (*members, *owners)}
        return named | {self.by.pk: self.by}

    def key_of(self, person: int | None) -> object:
        """Return the key by which the archive names a person, nothing for who isn't named."""
        return person if person in self.known else ""

    @cached_property
    def members(self) -> list[Membership]:
        """The workshop's own people."""
        if self.workshop is None:
            return []
        return list(Membership.objects.filter(organisation=self.workshop).order_by("pk"))

    def people(self) -> Iterator[list[object]]:
        """Write who is named: of the asker all, of colleagues the address, of others the name."""
        colleagues = {member.person_id for member in self.members}
        for person in self.known.values():
            cells = [getattr(person, column) for column in PERSON_COLUMNS]
            if person.pk != self.by.pk:
                cells[3:] = [""] * len(cells[3:])
                if person.pk not in colleagues:
                    cells[2] = ""
            yield cells

    def organisations(self) -> Iterator[list[object]]:
        """Write the workshops and clubs that rows name; whoever signs in may read these."""
        wanted: set[int] = {self.workshop.pk} if self.workshop else set()
        for model, permission in TABLES:
            for field in columns_of(model):
                if isinstance(field, ForeignKey) and field.related_model is Organisation:
                    keys = self.rows(model, permission).order_by()
                    named = keys.filter(**{f"{field.name}__isnull": False})
                    wanted |= set(named.values_list(field.attname, flat=True))
        for row in Organisation.objects.filter(pk__in=wanted).order_by("pk"):
            yield [getattr(row, column) for column in ORGANISATION_COLUMNS]


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
        archive.writestr(_named("archive.json"), json.dumps(_head(whose)))
        for name, columns, lines in (
            ("person", PERSON_COLUMNS, whose.people()),
            ("organisation", ORGANISATION_COLUMNS, whose.organisations()),
            (
                "membership",
                MEMBERSHIP_COLUMNS,
                ([member.person_id, member.role] for member in whose.members),
            ),
        ):
            table = _MARK + _line(columns) + "".join(_line(cells) for cells in lines)
            archive.writestr(_named(f"{name}.csv"), table)
        for model, permission in TABLES:
            rows = whose.rows(model, permission)
            with archive.open(_named(file_of(model)), "w") as file:
                file.write(_MARK.encode())
                for number, line in enumerate(_lines(model, rows, whose)):
                    file.write(line.encode())
                    if number % A_CHUNK == 0:
                        yield pipe.take()
            for name, content in _photos(model, rows):
                archive.writestr(_named(name), content)
                yield pipe.take()
    yield pipe.take()


def _head(whose: _Whose) -> dict[str, object]:
    return {
        "format": FORMAT,
        "person": whose.by.pk,
        "workshop": whose.workshop.pk if whose.workshop else None,
    }


def _named(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, _STAMP)
    info.compress_type = zipfile.ZIP_DEFLATED
    return info


def _about() -> str:
    return _(
        "Everything that was yours here on the day this was made.\n\n"
        "Each CSV file is one table (RFC 4180, UTF-8). `id` is a row's own key; a column that bears"
        " the name of a table holds the key of its row there; people stand in person.csv.\n"
        "Sizes and distances are metres, volumes cubic metres, temperatures kelvin, times seconds,"
        " forces newtons, speeds of turning radians a second, flows cubic metres a second.\n"
        "A cell that a spreadsheet would take for a formula begins with an apostrophe that is not"
        " part of it; one that began with an apostrophe has a second one.\n"
        "Photos lie in photos/, named by their table and key.\n"
        "Whoever runs an empty service takes all of it in with `manage.py bring_in FILE`.\n"
    )


def _lines(model: type[Model], rows: "QuerySet[Any]", whose: _Whose) -> Iterator[str]:
    """Write a table as CSV, some rows at a time."""
    columns, people = columns_of(model), set(person_columns(model))
    yield _line([column.name for column in columns])
    for row in rows.iterator(A_CHUNK):
        yield _line(
            [
                whose.key_of(getattr(row, column.attname))
                if column.name in people
                else _cell(row, column, whose)
                for column in columns
            ]
        )


def _cell(row: Model, column: "Field[Any, Any]", whose: _Whose) -> object:
    if isinstance(column, ForeignKey):
        key = getattr(row, column.attname)
        there = whose.there.get(column.related_model) if column.null else None
        # what the asker may not see (an oil of somebody's own) is not named either
        return key if there is None or key in there else None
    if isinstance(column, FileField):
        return photo_name(type(row), row.pk)
    value = getattr(row, column.name)
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, float):
        return repr(value)
    if isinstance(column, JSONField):
        return json.dumps(value, ensure_ascii=False)
    return value


def _line(cells: Sequence[object]) -> str:
    text = io.StringIO()
    csv.writer(text).writerow([harmless(cell) for cell in cells])
    return text.getvalue()


def _photos(model: type[Model], rows: "QuerySet[Any]") -> Iterator[tuple[str, bytes]]:
    if not has_photos(model):
        return
    for row in rows.iterator(A_CHUNK):
        try:
            with row.file.open("rb") as file:
                yield photo_name(model, row.pk), file.read()
        except FileNotFoundError:
            continue  # its row says that there was one
