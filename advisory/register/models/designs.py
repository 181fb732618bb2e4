"""Designs, their positions and what the workshop says of them. All sizes are in metres."""

from typing import ClassVar

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.people.access import Access, Subject
from advisory.people.models import Organisation
from advisory.register.enums import (
    BearingMaterial,
    DesignedFeed,
    DesignedFiltration,
    LimitsAs,
    LipMaterial,
    PositionKind,
    Season,
    UnitKind,
    WorkKind,
)


class Design(Dated):
    """A kind of unit, described once; without a workshop it is a starter that anybody may use."""

    workshop = models.ForeignKey(
        Organisation, null=True, blank=True, on_delete=models.PROTECT, related_name="designs"
    )
    kind = models.CharField(_("kind"), max_length=16, choices=UnitKind.choices)
    name = models.CharField(_("name"), max_length=120)
    version = models.PositiveSmallIntegerField(default=1)
    description = models.TextField(_("description"), blank=True)
    # what it turns per turn of the engine, and the engine's usual speed in rev/s
    speed_ratio = models.FloatField(default=1.0, validators=[MinValueValidator(0)])
    engine_speed = models.FloatField(null=True, blank=True)
    sump_volume = models.FloatField(null=True, blank=True, help_text="m3, as designed")
    lubricant_code = models.CharField(max_length=40, blank=True, help_text="prescribed oil")
    # the oil arrangement as designed; what a unit really has is told with the unit
    oil_feed = models.CharField(max_length=12, choices=DesignedFeed.choices, blank=True)
    oil_filtration = models.CharField(max_length=12, choices=DesignedFiltration.choices, blank=True)
    level_datum = models.CharField(max_length=120, blank=True)
    # the version that this one replaces, or the design that it was copied from
    based_on = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.SET_NULL, related_name="followers"
    )

    access: ClassVar[Access] = Access(
        subject=Subject.DESIGN,
        owner="units__owner",
        organisation="workshop",
        shared_where={"workshop": None},
    )

    class Meta:
        ordering = ["kind", "name", "version"]
        constraints = [
            models.UniqueConstraint(
                fields=["workshop", "name", "version"],
                name="design_version_once",
                nulls_distinct=False,
            )
        ]

    def __str__(self) -> str:
        return self.name


class Position(models.Model):
    """One place of a design where something runs, seals, feeds or holds; sizes in metres."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="positions")
    order = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=16, choices=PositionKind.choices)
    name = models.CharField(max_length=80)
    diameter = models.FloatField(null=True, blank=True)
    length = models.FloatField(null=True, blank=True)
    material = models.CharField(max_length=20, choices=BearingMaterial.choices, blank=True)
    surface_roughness = models.FloatField(null=True, blank=True, help_text="combined rms, m")
    load = models.FloatField(null=True, blank=True, help_text="N")
    # of the quantity that QUANTITY_OF names for this kind: as built from-to, and where it must stop
    as_built_least = models.FloatField(null=True, blank=True)
    as_built_most = models.FloatField(null=True, blank=True)
    look_into_above = models.FloatField(null=True, blank=True)
    wear_limit = models.FloatField(null=True, blank=True)
    # most ovality or taper of bore and journal, most run-out, least flat that a face may be
    form_limit = models.FloatField(null=True, blank=True)
    run_out_limit = models.FloatField(null=True, blank=True)
    flatness_limit = models.FloatField(null=True, blank=True)
    # turns for each turn of the engine, where it differs from the unit's
    speed_ratio = models.FloatField(null=True, blank=True)
    seal_material = models.CharField(max_length=20, choices=LipMaterial.choices, blank=True)
    # how the limits as built were given; as_built_least and as_built_most always hold the clearance
    limits_as = models.CharField(
        max_length=10, choices=LimitsAs.choices, default=LimitsAs.CLEARANCE
    )
    bore_least = models.FloatField(null=True, blank=True)
    bore_most = models.FloatField(null=True, blank=True)
    journal_least = models.FloatField(null=True, blank=True)
    journal_most = models.FloatField(null=True, blank=True)
    bore_class = models.CharField(max_length=6, blank=True)
    journal_class = models.CharField(max_length=6, blank=True)
    # where sizes are measured on a build sheet; no plane: the clearance itself is measured
    planes = models.PositiveSmallIntegerField(default=0)
    directions = models.PositiveSmallIntegerField(default=1)

    access: ClassVar[Access] = Access(
        subject=Subject.DESIGN,
        owner="design__units__owner",
        organisation="design__workshop",
        shared_where={"design__workshop": None},
    )

    class Meta:
        ordering = ["design_id", "order"]
        constraints = [
            models.UniqueConstraint(fields=["design", "order"], name="position_order_once")
        ]

    def __str__(self) -> str:
        return self.name


class MaintenanceInstruction(models.Model):
    """What the workshop says of one kind of work on a design; it stands above the computation."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="instructions")
    work = models.CharField(max_length=20, choices=WorkKind.choices)
    distance = models.FloatField(null=True, blank=True, help_text="m")
    hours = models.FloatField(null=True, blank=True, help_text="running time, s")
    months = models.PositiveSmallIntegerField(null=True, blank=True)
    season = models.CharField(max_length=20, choices=Season.choices, blank=True)
    text = models.CharField(max_length=300, blank=True)
    needs = models.CharField(max_length=300, blank=True)

    access: ClassVar[Access] = Position.access

    class Meta:
        ordering = ["design_id", "work"]
        constraints = [models.UniqueConstraint(fields=["design", "work"], name="instruction_once")]

    def __str__(self) -> str:
        return f"{self.design}: {self.get_work_display()}"


class DismantlingStep(models.Model):
    """One step of taking a unit apart, what goes wrong when it is done otherwise, its caution."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="dismantling")
    order = models.PositiveSmallIntegerField()
    text = models.CharField(max_length=400)
    otherwise = models.CharField(max_length=400, blank=True)
    caution = models.CharField(max_length=400, blank=True)

    access: ClassVar[Access] = Position.access

    class Meta:
        ordering = ["design_id", "order"]
        constraints = [
            models.UniqueConstraint(fields=["design", "order"], name="dismantling_order_once")
        ]

    def __str__(self) -> str:
        return f"{self.order}. {self.text}"
