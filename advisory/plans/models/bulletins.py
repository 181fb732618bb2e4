"""Bulletins: what a workshop or club tells all whose units it concerns, and what became of it."""

from typing import Any, ClassVar

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import Lubricant
from advisory.people.access import Access, Subject
from advisory.people.models import Organisation, Person
from advisory.plans.enums import OilOfKind
from advisory.register.enums import UnitKind
from advisory.register.models import Design, Unit


class Bulletin(Dated):
    """A notice to all units of a kind: written, looked at, sent once, taken back if it is wrong.

    What stands under "whom it meets" narrows; what is left empty does not. It goes only to owners
    who consent to the organisation when it is sent.
    """

    organisation = models.ForeignKey(
        Organisation, on_delete=models.CASCADE, related_name="bulletins"
    )
    title = models.CharField(_("title"), max_length=120)
    text = models.TextField(_("what you want to tell"))
    # what is to be done, and by when; without it there is only something to read
    asks = models.CharField(_("what is to be done"), max_length=300, blank=True)
    until = models.DateField(_("by when"), null=True, blank=True)
    before_it_runs = models.BooleanField(_("it is not to run before that is done"), default=False)
    # whom it meets
    kind = models.CharField(max_length=16, choices=UnitKind.choices, blank=True)
    # with all its versions
    design = models.ForeignKey(
        Design, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    batch = models.CharField(_("batch"), max_length=80, blank=True)
    lubricant = models.ForeignKey(
        Lubricant, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    oil_of_kind = models.CharField(max_length=20, choices=OilOfKind.choices, blank=True)
    filtration = models.CharField(max_length=12, choices=Filtration.choices, blank=True)
    feed = models.CharField(max_length=12, choices=Feed.choices, blank=True)

    written_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    sent_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    # when the plans of its units were last reckoned with it; None: a job is to do that
    on_plans_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="organisation")

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(asks="") | Q(until__isnull=False) | Q(before_it_runs=True),
                name="bulletin_work_has_a_day",
            )
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def asks_for_work(self) -> bool:
        """Whether it becomes an item on the plans."""
        return bool(self.asks)


class BulletinUnit(models.Model):
    """That a bulletin concerns a unit: whether its owner has read it, and when the work was done.

    It belongs to the unit's record, and goes with it to the next owner, who has read nothing yet.
    """

    bulletin = models.ForeignKey(Bulletin, on_delete=models.CASCADE, related_name="units")
    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="bulletins")
    read_at = models.DateTimeField(null=True, blank=True)
    # None: the work is still to be done, or none is asked for; taken back, it is open again
    work_done = models.OneToOneField(
        "plans.WorkDone",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="bulletin_unit",
    )

    # a workshop sees what became of its own; a club sees counts alone, and no row
    access: ClassVar[Access] = Access(
        owner="unit__owner",
        workshop="unit__workshop",
        workshop_where={"bulletin__organisation": F("unit__workshop")},
    )

    class Meta:
        ordering = ["-bulletin_id", "unit_id"]
        constraints = [
            models.UniqueConstraint(fields=["bulletin", "unit"], name="bulletin_unit_once")
        ]

    def __str__(self) -> str:
        return f"{self.bulletin}: {self.unit}"


#: What narrows whom a bulletin meets.
CRITERIA: tuple[str, ...] = (
    "kind",
    "design",
    "batch",
    "lubricant",
    "oil_of_kind",
    "filtration",
    "feed",
)
#: What its reader reads.
WORDS: tuple[str, ...] = ("title", "text", "asks", "until", "before_it_runs")


def facts_of(bulletin: Bulletin) -> dict[str, Any]:
    """Return what stands on a bulletin, as the audit trail keeps it."""
    facts = {name: getattr(bulletin, name) for name in WORDS + CRITERIA}
    facts["until"] = None if bulletin.until is None else bulletin.until.isoformat()
    facts["design"], facts["lubricant"] = bulletin.design_id, bulletin.lubricant_id
    return facts
