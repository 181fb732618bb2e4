"""Build sheets: what is written at the bench, and never changed once it is signed."""

from collections.abc import Iterable
from typing import Any, ClassVar, TypeVar

from django.db import models
from django.db.models import Q

from advisory.common.models import Dated
from advisory.people.access import Access
from advisory.people.models import Organisation, Person
from advisory.register.enums import BuildState, MeasuredQuantity
from advisory.register.models.designs import Position
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


class Build(Dated):
    """One rebuild of one unit, as it left the bench; once signed it is never changed."""

    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="builds")
    workshop = models.ForeignKey(Organisation, on_delete=models.PROTECT, related_name="builds")
    built_on = models.DateField()
    revision = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=8, choices=BuildState.choices, default=BuildState.DRAFT)
    new_white_metal = models.BooleanField(default=True)
    notes = models.TextField(blank=True)
    signed_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    signed_at = models.DateTimeField(null=True, blank=True)

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


class BuildMeasurement(models.Model):
    """One figure of a build: in metres, and as it was typed."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="measurements")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="+")
    quantity = models.CharField(max_length=20, choices=MeasuredQuantity.choices)
    value = models.FloatField(help_text="m")
    uncertainty = models.FloatField(null=True, blank=True, help_text="m, one standard deviation")
    as_typed = models.CharField(max_length=40)
    instrument = models.CharField(max_length=80, blank=True)

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

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write a figure of a sheet that is still being written."""
        self._refuse_signed()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a figure of a sheet that is still being written."""
        self._refuse_signed()
        return super().delete(*args, **kwargs)

    def _refuse_signed(self) -> None:
        # the sheet it stands on, and the one it would be taken to
        stands_on = BuildMeasurement.objects.filter(pk=self.pk).values("build_id")
        builds = Build.objects.filter(Q(pk=self.build_id) | Q(pk__in=stands_on))
        if builds.filter(state=BuildState.SIGNED).exists():
            raise TypeError(SEALED)
