"""Oils: the generic catalogue, and what is really in somebody's can."""

from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Question, Refused
from advisory.lubrication.adapters import catalogue, viscosity_index_of
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.models import Lubricant
from advisory.people import rules
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission

# What a data sheet of such an oil can say, in SI; the thinnest is thinner than SAE 5, the thickest
# thicker than any gear oil. Common practice, no source.
LEAST_VISCOSITY_40, MOST_VISCOSITY_40 = 5e-6, 4000e-6
LEAST_VISCOSITY_100, MOST_VISCOSITY_100 = 2e-6, 200e-6
LEAST_DENSITY, MOST_DENSITY = 750.0, 1100.0
# Straight mineral oils lie between about 0 and 120, multigrades and synthetics reach 250: what lies
# outside has probably a slip of the finger in it. Common practice, no source.
USUAL_VISCOSITY_INDEX = (-20.0, 280.0)


@transaction.atomic
def add_lubricant(
    *,
    name: str,
    family: str,
    kinematic_viscosity_40: float,
    kinematic_viscosity_100: float,
    by: Person,
    workshop: Organisation | None = None,
    density_15: float | None = None,
    detergent: bool = False,
    extreme_pressure: bool = False,
    active_sulphur: bool = False,
    multigrade: bool = False,
    confirm: bool = False,
) -> Lubricant:
    """Add an oil from its data sheet, for `by` alone or for everybody in `workshop`; SI.

    Asked twice for the same can, it answers with the one that stands.
    """
    name = " ".join(name.split())
    if not name:
        raise Refused(_("Write what stands on the can."), field="name")
    if family not in OilFamily.values:
        raise Refused(_("Choose the kind of oil from the list."), field="family")
    _believe(kinematic_viscosity_40, kinematic_viscosity_100, density_15, confirm=confirm)
    figures: dict[str, Any] = {
        "family": family,
        "kinematic_viscosity_40": kinematic_viscosity_40,
        "kinematic_viscosity_100": kinematic_viscosity_100,
        "detergent": detergent,
        "extreme_pressure": extreme_pressure,
        "active_sulphur": active_sulphur,
        "multigrade": multigrade,
    }
    if density_15 is not None:
        figures["density_15"] = density_15
    lubricant, added = Lubricant.objects.get_or_create(
        name=name,
        owner=by if workshop is None else None,
        workshop=workshop,
        code="",
        **figures,
    )
    # one's own, or one's workshop's: any other is undone with this transaction
    rules.require(by, Permission.WRITE_LUBRICANT, lubricant)
    if added:
        audit.record("add_lubricant", lubricant, by=by, name=name, **figures)
    return lubricant


def _believe(
    viscosity_40: float, viscosity_100: float, density: float | None, *, confirm: bool
) -> None:
    if not LEAST_VISCOSITY_40 <= viscosity_40 <= MOST_VISCOSITY_40:
        raise Refused(
            _("Give the figure at 40 °C in mm²/s (cSt), from 5 to 4000."),
            field="kinematic_viscosity_40",
            code="out_of_range",
        )
    if not LEAST_VISCOSITY_100 <= viscosity_100 <= MOST_VISCOSITY_100:
        raise Refused(
            _("Give the figure at 100 °C in mm²/s (cSt), from 2 to 200."),
            field="kinematic_viscosity_100",
            code="out_of_range",
        )
    if not viscosity_100 < viscosity_40:
        raise Refused(
            _("An oil is thinner at 100 °C than at 40 °C: look whether the two are changed over."),
            field="kinematic_viscosity_100",
            code="not_thinner",
        )
    if density is not None and not LEAST_DENSITY <= density <= MOST_DENSITY:
        raise Refused(
            _("Give the density at 15 °C in kg/m³, from 750 to 1100 (0.880 kg/l is 880)."),
            field="density_15",
            code="out_of_range",
        )
    index = viscosity_index_of(viscosity_40, viscosity_100)
    least, most = USUAL_VISCOSITY_INDEX
    if not confirm and not least <= index <= most:
        raise Question(
            _(
                "These two figures make a viscosity index of %(index)d, and oils lie between 0 and"
                " 250. Compare them with the data sheet; if they are right, say so."
            )
            % {"index": round(index)},
            field="kinematic_viscosity_100",
            code="unusual_viscosity_index",
        )


@transaction.atomic
def sync_catalogue() -> int:
    """Write the generic oils of the catalogue as rows, and say how many there are.

    Each is found again by its code, so that this may run any number of times.
    """
    oils = catalogue()
    for oil in oils:
        Lubricant.objects.update_or_create(
            code=oil.code,
            defaults={
                "name": oil.name,
                "family": oil.family,
                "kinematic_viscosity_40": oil.kinematic_viscosity_40,
                "kinematic_viscosity_100": oil.kinematic_viscosity_100,
                "density_15": oil.density_15,
                "detergent": oil.detergent,
                "extreme_pressure": oil.extreme_pressure,
                "active_sulphur": oil.active_sulphur,
                "multigrade": oil.multigrade,
                "owner": None,
                "workshop": None,
            },
        )
    return len(oils)
