"""Kinds, roles and levels of the people app."""

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _


class OrganisationKind(TextChoices):
    """What an organisation is."""

    WORKSHOP = "workshop", _("Workshop")
    CLUB = "club", _("Club")


class Role(TextChoices):
    """What a person does in an organisation."""

    MANAGER = "manager", _("Manager")
    FITTER = "fitter", _("Fitter")
    TECHNICAL_OFFICER = "technical_officer", _("Technical officer")
    MEMBER = "member", _("Member")


ROLES_OF = {
    OrganisationKind.WORKSHOP: (Role.MANAGER, Role.FITTER),
    OrganisationKind.CLUB: (Role.TECHNICAL_OFFICER, Role.MEMBER),
}

# Whoever has it leads the organisation; somebody always does.
LEADING_ROLE = {
    OrganisationKind.WORKSHOP: Role.MANAGER,
    OrganisationKind.CLUB: Role.TECHNICAL_OFFICER,
}


class ConsentScope(TextChoices):
    """What an owner lets an organisation see."""

    RECORDS = "records", _("Usage, services and findings")
    UNNAMED = "unnamed", _("In the club's figures, without a name")
    NAMED = "named", _("In the club's figures, and by name to its technical officer")


SCOPES_OF = {
    OrganisationKind.WORKSHOP: (ConsentScope.RECORDS,),
    OrganisationKind.CLUB: (ConsentScope.UNNAMED, ConsentScope.NAMED),
}


class SmallLengthUnit(TextChoices):
    """How a person reads a clearance."""

    THOU = "thou", _("thou")
    MM = "mm", _("mm")


class DistanceUnit(TextChoices):
    """How a person, or an odometer, counts distance."""

    MILE = "mile", _("miles")
    KM = "km", _("km")


class VolumeUnit(TextChoices):
    """How a person measures oil."""

    LITRE = "litre", _("litres")
    PINT = "pint", _("pints")


class TemperatureUnit(TextChoices):
    """How a person reads a thermometer."""

    CELSIUS = "degC", _("°C")
    FAHRENHEIT = "degF", _("°F")
