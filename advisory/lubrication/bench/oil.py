"""The oil on the form of a calculator: one of the catalogue, or its data sheet."""

from django.utils.translation import gettext_lazy as _

from advisory.common.bench import Group
from advisory.common.bench.pages import Text
from advisory.engineering.lubricant_catalogue import LUBRICANTS

DATA_SHEET = ("kinematic_viscosity_40", "kinematic_viscosity_100", "density_15")

OIL_LABELS: dict[str, Text] = {
    "lubricant": _("Generic oil"),
    "kinematic_viscosity_40": _("Kinematic viscosity at 40\N{NO-BREAK SPACE}°C"),
    "kinematic_viscosity_100": _("Kinematic viscosity at 100\N{NO-BREAK SPACE}°C"),
    "density_15": _("Density at 15\N{NO-BREAK SPACE}°C"),
}
OIL_HELPS: dict[str, Text] = {
    "lubricant": _("Typical figures of its grade; no product."),
    "kinematic_viscosity_40": _("Of the data sheet."),
    "kinematic_viscosity_100": _("Of the data sheet."),
    "density_15": _("Of the data sheet."),
}
OIL_CHOICES: dict[str, Text] = {code: oil.name for code, oil in LUBRICANTS.items()}


def oil_group(*others: str, lead: Text = "") -> Group:
    """Return the group of the oil, with what belongs to it in one calculator."""
    return Group(
        title=_("The oil"),
        lead=lead or _("A generic oil, or the two viscosities of the data sheet in place of it."),
        names=("lubricant", *DATA_SHEET, *others),
    )
