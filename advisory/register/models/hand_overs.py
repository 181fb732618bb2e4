"""A unit on its way to an owner: offered by whoever has it, claimed by whoever holds the code."""

from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.people.access import Access
from advisory.people.models import Person
from advisory.register.models.units import Unit


class HandOver(Dated):
    """An offer of a unit, open until it is claimed, taken back or has run out.

    Of the code only a digest is kept; it can be worked out again from `nonce` and the service's
    secret key, so that a tag can be printed twice. With an e-mail address only its owner claims it.
    """

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="hand_overs")
    digest = models.CharField(max_length=64, unique=True, editable=False)
    nonce = models.CharField(max_length=32, editable=False)
    email = models.EmailField(_("e-mail"), blank=True)
    # sold with the car: the car and what else of the same owner is in it go along
    with_car = models.BooleanField(default=False)
    # brought to a workshop, which takes it on; its owner stays, and may let it see the use
    for_workshop = models.BooleanField(default=False)
    consents = models.BooleanField(default=False)
    made_by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    expires_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True, blank=True)
    claimed_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    # a workshop has to do with it while the unit has no owner: whom an owner sells to is theirs
    access: ClassVar[Access] = Access(
        owner="unit__owner",
        workshop="unit__workshop",
        workshop_where={"unit__owner": None},
        as_built=True,
    )

    class Meta:
        ordering = ["-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit"],
                condition=Q(claimed_at=None, withdrawn_at=None),
                name="hand_over_open_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.unit}, offered {self.created_at:%Y-%m-%d}"

    @property
    def waits(self) -> bool:
        """Whether it can still be claimed."""
        return (
            self.claimed_at is None
            and self.withdrawn_at is None
            and self.expires_at > timezone.now()
        )
