"""Oils, a unit's oil arrangement over time, what was done with the oil, the advice given. SI."""

from typing import Any, ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.lubrication.enums import Feed, Filtration, OilFamily, ServiceKind
from advisory.people.access import Access, Subject
from advisory.people.models import Organisation, Person
from advisory.register.models import Unit


class Lubricant(Dated):
    """An oil: a generic one of the catalogue, or what is really in somebody's can."""

    # the catalogue's code; empty for a person's or a workshop's own
    code = models.CharField(max_length=40, blank=True)
    name = models.CharField(_("name"), max_length=120)
    family = models.CharField(_("kind"), max_length=12, choices=OilFamily.choices)
    kinematic_viscosity_40 = models.FloatField(help_text="m2/s")
    kinematic_viscosity_100 = models.FloatField(help_text="m2/s")
    density_15 = models.FloatField(default=880.0, help_text="kg/m3")
    detergent = models.BooleanField(_("detergent"), default=False)
    extreme_pressure = models.BooleanField(_("extreme-pressure additive"), default=False)
    active_sulphur = models.BooleanField(_("active sulphur, or not known"), default=False)
    multigrade = models.BooleanField(_("multigrade"), default=False)
    owner = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.CASCADE, related_name="lubricants"
    )
    workshop = models.ForeignKey(
        Organisation, null=True, blank=True, on_delete=models.CASCADE, related_name="lubricants"
    )

    access: ClassVar[Access] = Access(
        subject=Subject.LUBRICANT,
        owner="owner",
        organisation="workshop",
        shared_where={"owner": None, "workshop": None},
    )

    class Meta:
        ordering = ["family", "kinematic_viscosity_100", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["code"], condition=~Q(code=""), name="lubricant_code_once"
            )
        ]

    def __str__(self) -> str:
        return self.name


class OilArrangement(Dated):
    """How a unit is oiled from a day on; None or 'unknown' where nobody knows."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="oil_arrangements")
    from_date = models.DateField()
    feed = models.CharField(
        _("oil comes"), max_length=12, choices=Feed.choices, default=Feed.UNKNOWN
    )
    sump_volume = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(1e-5)], help_text="m3"
    )
    filtration = models.CharField(
        _("filter"), max_length=12, choices=Filtration.choices, default=Filtration.UNKNOWN
    )
    beta_ratio = models.FloatField(null=True, blank=True, validators=[MinValueValidator(1)])
    filter_flow = models.FloatField(null=True, blank=True, help_text="m3/s")
    dirt_capacity = models.FloatField(null=True, blank=True, help_text="kg")
    breather_filtered = models.BooleanField(_("breather filtered"), default=False)
    feed_pipe_bore = models.FloatField(null=True, blank=True, help_text="m")
    feed_pipe_length = models.FloatField(null=True, blank=True, help_text="m")
    level_datum = models.CharField(_("level datum"), max_length=200, blank=True)
    lubricant = models.ForeignKey(
        Lubricant, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    sump_temperature = models.FloatField(
        null=True,
        blank=True,
        validators=[MinValueValidator(233.15), MaxValueValidator(423.15)],
        help_text="K",
    )

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["unit_id", "from_date", "id"]
        constraints = [
            models.UniqueConstraint(fields=["unit", "from_date"], name="arrangement_once_a_day")
        ]

    def __str__(self) -> str:
        return f"{self.unit} from {self.from_date}"


class OilService(Dated):
    """Something done with a unit's oil on a day."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="oil_services")
    date = models.DateField()
    kind = models.CharField(max_length=16, choices=ServiceKind.choices)
    # the number on the odometer; None: not read
    shown = models.PositiveIntegerField(null=True, blank=True)
    lubricant = models.ForeignKey(
        Lubricant, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    volume = models.FloatField(null=True, blank=True, help_text="m3")
    note = models.CharField(max_length=500, blank=True)
    entered_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")

    access: ClassVar[Access] = Access(owner="unit__owner", workshop="unit__workshop")

    class Meta:
        ordering = ["unit_id", "-date", "-id"]

    def __str__(self) -> str:
        return f"{self.unit}: {self.get_kind_display()}, {self.date}"


class OilAdvice(models.Model):
    """A computed result as a person was shown it: inputs, result, method and its version."""

    # found by the index below, of which it is the first column
    unit = models.ForeignKey(
        Unit, on_delete=models.CASCADE, related_name="oil_advices", db_index=False
    )
    computed_at = models.DateTimeField(default=timezone.now)
    method = models.CharField(max_length=60)
    method_version = models.CharField(max_length=20)
    inputs: Any = models.JSONField()
    result: Any = models.JSONField()
    # over method and result: the same advice is kept once
    digest = models.CharField(max_length=64)
    # what moved it against the one before: names with the figures before and after
    moved_by: Any = models.JSONField(default=list)
    # it rests on what the owner has told nobody else
    owner_alone = models.BooleanField(default=False)

    access: ClassVar[Access] = Access(
        owner="unit__owner", workshop="unit__workshop", workshop_where={"owner_alone": False}
    )

    class Meta:
        ordering = ["unit_id", "-computed_at", "-id"]
        verbose_name_plural = "oil advice"
        indexes = [models.Index(fields=["unit", "method", "-computed_at"])]

    def __str__(self) -> str:
        return f"{self.unit}: {self.method} {self.method_version}"
