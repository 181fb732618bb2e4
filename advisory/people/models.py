"""Accounts, organisations, memberships, invitations, consents."""

import zoneinfo
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.models import PermissionsMixin
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.people.access import Access, Subject
from advisory.people.enums import (
    ROLES_OF,
    ConsentScope,
    DistanceUnit,
    OrganisationKind,
    Role,
    SmallLengthUnit,
    TemperatureUnit,
    VolumeUnit,
)

NAME_TAKEN = _("There is one of this name already. Write yours so that nobody mixes them up.")


def check_zone(name: str) -> None:
    """Refuse a name that is no IANA time zone."""
    if name not in zoneinfo.available_timezones():
        raise ValidationError(_("Choose a time zone from the list."))


class PersonManager(BaseUserManager["Person"]):
    """Makes persons whose name is their e-mail address."""

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> "Person":
        """Add a person; the address is kept in lower case, so that it is found again."""
        if not email:
            raise ValueError("A person needs an e-mail address.")
        person = self.model(email=email.strip().lower(), **fields)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> "Person":
        """Add a person who runs the service."""
        return self.create_user(email, password, is_staff=True, is_superuser=True, **fields)


class Person(AbstractBaseUser, PermissionsMixin):
    """Somebody who signs in; the units they read and write in stand here."""

    email = models.EmailField(_("e-mail"), unique=True)
    name = models.CharField(_("name"), max_length=120, blank=True)
    zone = models.CharField(
        _("time zone"), max_length=60, default="Europe/London", validators=[check_zone]
    )
    small_length_unit = models.CharField(
        _("clearances in"),
        max_length=8,
        choices=SmallLengthUnit.choices,
        default=SmallLengthUnit.THOU,
    )
    distance_unit = models.CharField(
        _("distances in"), max_length=8, choices=DistanceUnit.choices, default=DistanceUnit.MILE
    )
    volume_unit = models.CharField(
        _("oil in"), max_length=8, choices=VolumeUnit.choices, default=VolumeUnit.LITRE
    )
    temperature_unit = models.CharField(
        _("temperatures in"),
        max_length=8,
        choices=TemperatureUnit.choices,
        default=TemperatureUnit.CELSIUS,
    )
    is_active = models.BooleanField(default=True)
    is_staff = models.BooleanField(default=False)
    date_joined = models.DateTimeField(default=timezone.now, editable=False)

    objects: ClassVar[PersonManager] = PersonManager()
    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="pk")

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = []

    class Meta:
        verbose_name = _("person")
        verbose_name_plural = _("people")

    def __str__(self) -> str:
        return self.name or self.email

    def get_full_name(self) -> str:
        """Return what others call this person."""
        return str(self)

    def get_short_name(self) -> str:
        """Return what others call this person."""
        return str(self)


class Organisation(Dated):
    """A workshop or a club."""

    kind = models.CharField(max_length=12, choices=OrganisationKind.choices)
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("e-mail"), blank=True)
    phone = models.CharField(_("telephone"), max_length=40, blank=True)

    access: ClassVar[Access] = Access(
        subject=Subject.ORGANISATION, organisation="pk", shared_where={}
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            # nobody passes for another by writing its name in capitals
            models.UniqueConstraint(
                "kind",
                Lower("name"),
                name="organisation_name_once",
                violation_error_message=NAME_TAKEN,
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def kind_of(self) -> OrganisationKind:
        """Its kind, as the enum."""
        return OrganisationKind(self.kind)


class Membership(Dated):
    """A person's role in an organisation."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="memberships")
    organisation = models.ForeignKey(
        Organisation, on_delete=models.CASCADE, related_name="memberships"
    )
    role = models.CharField(max_length=20, choices=Role.choices)

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="organisation")

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(fields=["person", "organisation"], name="membership_once")
        ]

    def __str__(self) -> str:
        return f"{self.person}, {self.get_role_display()}, {self.organisation}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Write the row; a role that its kind of organisation doesn't have is refused."""
        if self.role not in ROLES_OF[self.organisation.kind_of]:
            raise ValueError(f"A {self.organisation.kind} has no {self.role}.")
        super().save(*args, **kwargs)


class Invitation(Dated):
    """A letter that lets the holder of an address into an organisation; only its digest is kept."""

    organisation = models.ForeignKey(
        Organisation, on_delete=models.CASCADE, related_name="invitations"
    )
    email = models.EmailField(_("e-mail"))
    role = models.CharField(max_length=20, choices=Role.choices)
    digest = models.CharField(max_length=64, unique=True)
    invited_by = models.ForeignKey(
        Person, null=True, on_delete=models.SET_NULL, related_name="invitations_sent"
    )
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True, blank=True)
    accepted_by = models.ForeignKey(
        Person, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ORGANISATION, organisation="organisation")

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"{self.email} to {self.organisation}"

    @property
    def waits(self) -> bool:
        """Whether it can still be accepted."""
        return (
            self.accepted_at is None
            and self.withdrawn_at is None
            and self.expires_at > timezone.now()
        )


class Consent(models.Model):
    """An owner's dated word to an organisation; withdrawn ones stay as history."""

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="consents")
    organisation = models.ForeignKey(
        Organisation, on_delete=models.CASCADE, related_name="consents"
    )
    scope = models.CharField(max_length=12, choices=ConsentScope.choices)
    given_at = models.DateTimeField(default=timezone.now)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["-given_at", "-id"]
        constraints = [
            models.UniqueConstraint(
                fields=["person", "organisation"],
                condition=Q(withdrawn_at=None),
                name="consent_standing_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.person} to {self.organisation}: {self.scope}"
