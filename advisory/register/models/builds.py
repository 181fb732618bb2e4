"""Build sheets: what is written at the bench, and never changed once it is signed."""

from collections.abc import Iterable
from typing import Any, ClassVar, TypeVar

from django.db import models
from django.db.models import Q
from django.utils import timezone

from advisory.common.models import Dated
from advisory.people.access import Access, Subject
from advisory.people.models import Organisation, Person
from advisory.register.enums import BuildState, MeasuredQuantity
from advisory.register.models.designs import Design, Position
from advisory.register.models.units import Unit

Row = TypeVar("Row", bound=models.Model)

SEALED = "A signed build is never changed or deleted; write a new revision."


class SealedRows(models.QuerySet[Row]):
    """Rows of build sheets: what stands signed is neither written nor deleted in bulk."""

    state_lookup: ClassVar[str]

    def update(self, **values: Any) -> int:
        """Write the rows; refuse if one of them stands signed."""
        self._refuse_signed()
        return super().update(**values)

    def delete(self) -> tuple[int, dict[str, int]]:
        """Delete the rows; refuse if one of them stands signed."""
        self._refuse_signed()
        return super().delete()

    def bulk_create(self, objs: Iterable[Row], *args: Any, **kwargs: Any) -> list[Row]:
        """Add rows; refuse figures for a signed sheet, and sheets that stand signed."""
        rows = list(objs)
        builds = {getattr(row, "build_id", row.pk) for row in rows}
        if Build.objects.filter(pk__in=builds, state=BuildState.SIGNED).exists():
            raise TypeError(SEALED)
        return super().bulk_create(rows, *args, **kwargs)

    def _refuse_signed(self) -> None:
        if self.filter(**{self.state_lookup: BuildState.SIGNED}).exists():
            raise TypeError(SEALED)


class SealedBuilds(SealedRows["Build"]):
    """Build sheets."""

    state_lookup = "state"


class SealedMeasurements(SealedRows["BuildMeasurement"]):
    """Figures of build sheets."""

    state_lookup = "build__state"


class SealedEntries(SealedRows["SheetEntry"]):
    """What was typed onto build sheets."""

    state_lookup = "build__state"


class SealedPhotos(SealedRows["BuildPhoto"]):
    """Photos of build sheets."""

    state_lookup = "build__state"


class Build(Dated):
    """One rebuild of one unit, as it left the bench; once signed it is never changed."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="builds")
    workshop = models.ForeignKey(Organisation, on_delete=models.PROTECT, related_name="builds")
    # the version of the design that it was built to
    design = models.ForeignKey(
        Design, null=True, blank=True, on_delete=models.PROTECT, related_name="builds"
    )
    built_on = models.DateField()
    revision = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=8, choices=BuildState.choices, default=BuildState.DRAFT)
    new_white_metal = models.BooleanField(default=True)
    notes = models.TextField(blank=True)
    signed_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    signed_at = models.DateTimeField(null=True, blank=True)
    # over all that stands on the sheet when it is signed, who signed it and when
    digest = models.CharField(max_length=64, blank=True, editable=False)
    # the signed sheet that this one puts right, and why
    corrects = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="corrections"
    )
    reason = models.CharField(max_length=300, blank=True)
    # who else looked through it before it was signed, and what it said then
    checked_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    checked_at = models.DateTimeField(null=True, blank=True)
    checked_digest = models.CharField(max_length=64, blank=True, editable=False)

    objects = SealedBuilds.as_manager()
    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop", as_built=True)

    class Meta:
        ordering = ["unit_id", "-built_on", "-revision"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state=BuildState.DRAFT)
                | Q(signed_by__isnull=False, signed_at__isnull=False),
                name="build_signed_by_somebody",
            )
        ]

    def __str__(self) -> str:
        return f"{self.unit}, {self.built_on}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a sheet that is still being written; refuse one that stands signed."""
        if self.pk and Build.objects.filter(pk=self.pk, state=BuildState.SIGNED).exists():
            raise TypeError(SEALED)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a sheet that is still being written; refuse one that stands signed."""
        if self.pk and Build.objects.filter(pk=self.pk, state=BuildState.SIGNED).exists():
            raise TypeError(SEALED)
        return super().delete(*args, **kwargs)


class OfASheet(models.Model):
    """A row of a build sheet: written while the sheet is, and never once it stands signed."""

    build: Any
    build_id: Any

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a row of a sheet that is still being written."""
        self._refuse_signed()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a row of a sheet that is still being written."""
        self._refuse_signed()
        return super().delete(*args, **kwargs)

    def _refuse_signed(self) -> None:
        # the sheet it stands on, and the one it would be taken to
        rows: models.Manager[Any] = type(self)._base_manager
        stands_on = rows.filter(pk=self.pk).values("build_id")
        builds = Build.objects.filter(Q(pk=self.build_id) | Q(pk__in=stands_on))
        if builds.filter(state=BuildState.SIGNED).exists():
            raise TypeError(SEALED)


class BuildMeasurement(OfASheet):
    """One figure of a build: in metres, and as it was typed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="measurements")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="+")
    quantity = models.CharField(max_length=20, choices=MeasuredQuantity.choices)
    value = models.FloatField(help_text="m")
    uncertainty = models.FloatField(null=True, blank=True, help_text="m, one standard deviation")
    as_typed = models.CharField(max_length=40)
    instrument = models.CharField(max_length=80, blank=True)
    # reckoned from the sheet's other figures, so nobody typed it
    reckoned = models.BooleanField(default=False)

    objects = SealedMeasurements.as_manager()
    access: ClassVar[Access] = Access(
        owner="build__unit__owner", workshop="build__unit__workshop", as_built=True
    )

    class Meta:
        ordering = ["build_id", "position__order", "quantity"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "position", "quantity"], name="measurement_once"
            )
        ]

    def __str__(self) -> str:
        return f"{self.position}: {self.as_typed}"


class SheetEntry(OfASheet):
    """What stands in one place of a build sheet, as it was typed, by whom and when.

    A place is a position and the name of one of its fields (`sheet_fields.py`); without a position
    it is at the head of the sheet.
    """

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="entries")
    position = models.ForeignKey(
        Position, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    name = models.CharField(max_length=40)
    text = models.TextField()
    # in SI, of a single figure that is believed
    value = models.FloatField(null=True, blank=True)
    # why it is not believed yet, and what it may have meant; kept, so that nothing typed is lost
    doubt = models.CharField(max_length=300, blank=True)
    meant = models.CharField(max_length=40, blank=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    # counts up with each change, so that nobody writes over what they have not seen
    edition = models.PositiveIntegerField(default=1)

    objects = SealedEntries.as_manager()
    access: ClassVar[Access] = BuildMeasurement.access

    class Meta:
        ordering = ["build_id", "position__order", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["build", "position", "name"], name="entry_once", nulls_distinct=False
            )
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.text[:40]}"


class BuildPhoto(OfASheet, Dated):
    """A photo of a build sheet, drawn anew without metadata; the original is not kept."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="photos")
    position = models.ForeignKey(
        Position, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    file = models.FileField(upload_to="builds/")
    width = models.PositiveIntegerField(default=0)
    height = models.PositiveIntegerField(default=0)
    # of the file, so that the sheet's own digest covers the picture
    digest = models.CharField(max_length=64, editable=False)
    words = models.CharField(max_length=120, blank=True)

    objects = SealedPhotos.as_manager()
    access: ClassVar[Access] = BuildMeasurement.access

    class Meta:
        ordering = ["build_id", "id"]

    def __str__(self) -> str:
        return f"{self.build_id}: {self.file.name}"


class WorkshopPractice(models.Model):
    """How a workshop signs its build sheets."""

    workshop = models.OneToOneField(Organisation, on_delete=models.CASCADE, related_name="practice")
    # somebody else than the one who signs looks through a sheet first
    second_look = models.BooleanField(default=False)

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="workshop")

    def __str__(self) -> str:
        return str(self.workshop)
