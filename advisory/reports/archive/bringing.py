"""Bringing an archive into an empty service: whole, checked sheet by sheet, or not at all."""

import hashlib
import io
from dataclasses import dataclass, field
from typing import Any
from uuid import uuid4

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.db.models import Field, FileField, ForeignKey, Model
from django.utils.translation import gettext as _
from PIL import Image

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.common.photos import BROKEN
from advisory.lubrication.models import Lubricant
from advisory.people.actions import add_person
from advisory.people.models import Membership, Organisation, Person
from advisory.plans.actions import refresh_plans
from advisory.plans.actions.wear_marks import mark_wear
from advisory.register.enums import BuildState
from advisory.register.models import (
    Build,
    Car,
    Design,
    MaintenanceInstruction,
    Unit,
)
from advisory.reports.archive.cells import broken, checked, key_in, names_itself, value_in
from advisory.reports.archive.opened import OpenedArchive
from advisory.reports.archive.sealing import seal
from advisory.reports.archive.tables import OF_A_DESIGN, TABLES, columns_of, file_of

A_CHUNK = 1000
# Nobody reads mail there (RFC 2606): the account of somebody of whom only the name is known.
NOBODYS_ADDRESS = "brought-{}@people.invalid"
# What a design without a workshop, or an oil of the catalogue, is known by in every service.
SAME: dict[type[Model], tuple[str, ...]] = {
    Design: ("kind", "name", "version"),
    Lubricant: ("code",),
}


@dataclass
class Brought:
    """What came in: rows by table, and pictures."""

    rows: dict[str, int] = field(default_factory=dict)
    photos: int = 0
    people: list[str] = field(default_factory=list)


def bring_in(*, archive: OpenedArchive) -> Brought:
    """Take everything of an archive into this service, which must be empty so far.

    It is for whoever runs the service: an archive could say that a workshop signed what it never
    saw. Each signed sheet must still be what its digest was made over; it is sealed anew here.
    Accounts are opened by setting a password ("Lost the password?").

    Raises
    ------
    Refused
        Nothing was taken in then, and no picture is left behind.
    """
    bringing = _Bringing(archive)
    try:
        with transaction.atomic():
            return bringing.all()
    except IntegrityError as error:
        bringing.take_files_back()
        raise Refused(
            _("Its tables contradict each other. Take the archive along anew.")
        ) from error
    except BaseException:
        bringing.take_files_back()
        raise


class _Bringing:
    def __init__(self, archive: OpenedArchive) -> None:
        self.archive = archive
        self.brought = Brought()
        self.files: list[str] = []
        # what each row's key became
        self.keys: dict[type[Model], dict[int, int]] = {Person: {}, Organisation: {}}
        # designs of everybody's own that are here already: what hangs on them is here as well
        self.shared: set[int] = set()
        self.signed: dict[int, dict[str, Any]] = {}

    def all(self) -> Brought:
        if any(
            rows.exists()
            for rows in (
                Unit.objects.all(),
                Car.objects.all(),
                Design.objects.exclude(workshop=None),
            )
        ):
            raise Refused(
                _("There are units, cars or designs here already. It goes into an empty service.")
            )
        self._people()
        self._organisations()
        for model, _permission in TABLES:
            self._table(model)
        seal(self.signed, self.keys)
        units = sorted(self.keys[Unit].values())
        for begin in range(0, len(units), A_CHUNK):
            mark_wear(units=units[begin : begin + A_CHUNK])
            refresh_plans(units=units[begin : begin + A_CHUNK])
        asker = Person.objects.get(pk=self.keys[Person][self.archive.head["person"]])
        audit.record("bring_in", asker, by=None, rows=self.brought.rows)
        return self.brought

    def take_files_back(self) -> None:
        for name in self.files:
            default_storage.delete(name)

    def _people(self) -> None:
        said = ("zone", "small_length_unit", "distance_unit", "volume_unit", "temperature_unit")
        for line, row in self.archive.rows("person.csv"):
            key = key_in("person.csv", line, row.get("id", ""))
            email = row.get("email", "").strip().lower()
            person = Person.objects.filter(email=email).first() if email else None
            if person is None:
                own = {name: row[name] for name in said if row.get(name)}
                person = add_person(
                    email=email or NOBODYS_ADDRESS.format(uuid4().hex),
                    name=row.get("name") or email.partition("@")[0] or _("Somebody"),
                    by=None,
                    **own,
                )
            if email:
                self.brought.people.append(email)
            self.keys[Person][key] = person.pk
        if self.archive.head["person"] not in self.keys[Person]:
            raise broken("person.csv", 0, _("whose it is does not stand in it"))

    def _organisations(self) -> None:
        for line, row in self.archive.rows("organisation.csv"):
            key = key_in("organisation.csv", line, row.get("id", ""))
            named = {"kind": row.get("kind", ""), "name": row.get("name", "")}
            there = Organisation.objects.filter(**named).first()
            if there is None:
                there = Organisation(
                    **named, email=row.get("email", ""), phone=row.get("phone", "")
                )
                checked("organisation.csv", line, there.full_clean)
                there.save()
            self.keys[Organisation][key] = there.pk
        workshop = self.archive.head.get("workshop")
        if workshop is None:
            return
        for line, row in self.archive.rows("membership.csv"):
            Membership.objects.get_or_create(
                person_id=self._here("membership.csv", line, Person, row.get("person", "")),
                organisation_id=self._here("membership.csv", line, Organisation, str(workshop)),
                defaults={"role": row.get("role", "")},
            )

    def _here(self, table: str, line: int, model: type[Model], cell: str) -> int:
        key = key_in(table, line, cell)
        here = self.keys.get(model, {}).get(key)
        if here is None:
            raise broken(table, line, _("it names a row that is not there"))
        return here

    def _table(self, model: type[Model]) -> None:
        table, columns = file_of(model), columns_of(model)
        keys = self.keys.setdefault(model, {})
        waiting: list[tuple[int, Any]] = []
        for line, row in self.archive.rows(table):
            key = key_in(table, line, row.get("id", ""))
            if model in OF_A_DESIGN and self._is_shared(row):
                same = self._same_of_a_design(model, row)
                if same is not None:
                    keys[key] = same
                continue
            if (same := self._same(model, row)) is not None:
                keys[key] = same
                continue
            if waiting and names_itself(model, columns, row):
                self._write(model, waiting)
            waiting.append((key, self._made(model, columns, table, line, row)))
            if len(waiting) >= A_CHUNK:
                self._write(model, waiting)
        self._write(model, waiting)

    def _write(self, model: type[Model], waiting: list[tuple[int, Any]]) -> None:
        """Add rows; what was signed is added as being written, and sealed at the end."""
        made = model._base_manager.bulk_create([row for _key, row in waiting])
        for (key, _row), row in zip(waiting, made, strict=True):
            self.keys[model][key] = row.pk
        name = str(model._meta.verbose_name_plural)
        self.brought.rows[name] = self.brought.rows.get(name, 0) + len(made)
        waiting.clear()

    def _made(
        self,
        model: type[Model],
        columns: "list[Field[Any, Any]]",
        table: str,
        line: int,
        row: dict[str, str],
    ) -> Model:
        values: dict[str, Any] = {}
        for column in columns:
            cell = row.get(column.name)
            if column.primary_key or cell is None:
                continue
            if isinstance(column, ForeignKey):
                values[column.attname] = self._pointed(column, table, line, cell)
            elif isinstance(column, FileField):
                values[column.name] = self._picture(model, cell, row)
            else:
                values[column.name] = value_in(column, table, line, cell)
        if model is Build and values.get("state") == BuildState.SIGNED:
            self.signed[int(row["id"])] = values
            values = values | {"state": BuildState.DRAFT}
        return model(**values)

    def _pointed(
        self, column: "ForeignKey[Any, Any]", table: str, line: int, cell: str
    ) -> int | None:
        to = column.related_model
        assert isinstance(to, type)
        if cell:
            return self._here(table, line, to, cell)
        if column.null:
            return None
        if to is Person:
            return self.keys[Person][self.archive.head["person"]]
        raise broken(table, line, _("it names no row"))

    def _same(self, model: type[Model], row: dict[str, str]) -> int | None:
        """Return what is in every service: designs to start from, oils of the catalogue."""
        by = SAME.get(model)
        if by is None or row.get("workshop") or row.get("owner") or not row.get(by[-1]):
            return None
        there = model._base_manager.filter(**{name: row.get(name, "") for name in by})
        if model is Design:
            there = there.filter(workshop=None)
        key = there.values_list("pk", flat=True).first()
        if key is not None and model is Design:
            self.shared.add(int(row["id"]))
        return key

    def _is_shared(self, row: dict[str, str]) -> bool:
        return row.get("design", "").isdigit() and int(row["design"]) in self.shared

    def _same_of_a_design(self, model: type[Model], row: dict[str, str]) -> int | None:
        name = "work" if model is MaintenanceInstruction else "order"
        design = self.keys[Design][int(row["design"])]
        there = model._base_manager.filter(design=design, **{name: row.get(name, "")})
        return there.values_list("pk", flat=True).first()

    def _picture(self, model: type[Model], name: str, row: dict[str, str]) -> str:
        """Keep a picture that is one; a signed sheet's must be the one that was signed."""
        content = self.archive.photo(name)
        kept = f"{model._meta.get_field('file').upload_to}{uuid4().hex}.jpg"  # type: ignore[union-attr]
        if content is None:
            return kept  # its row says that there was one
        try:
            with Image.open(io.BytesIO(content), formats=("JPEG",)) as image:
                image.verify()
        except BROKEN as error:
            raise Refused(_("“%(name)s” is no photo.") % {"name": name}) from error
        if row.get("digest") and hashlib.sha256(content).hexdigest() != row["digest"]:
            raise Refused(_("“%(name)s” is not the photo that was signed.") % {"name": name})
        self.files.append(default_storage.save(kept, ContentFile(content)))
        self.brought.photos += 1
        return self.files[-1]
