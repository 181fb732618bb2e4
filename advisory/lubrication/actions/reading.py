"""The odometer's number, told together with work on a unit."""

from datetime import date

from django.db.models import Q
from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.people.models import Person
from advisory.register.models import Fitting, Unit
from advisory.usage.actions.readings import keep_reading
from advisory.usage.enums import ReadingSource
from advisory.usage.models import Reading


def record_unit_reading(
    *,
    unit: Unit,
    date: date,
    shown: int,
    by: Person,
    confirm: bool = False,
    went_round: bool = False,
) -> Reading:
    """Write down what the odometer showed of the car that the unit was in on a day.

    For actions that have asked the rules already, in their transaction.

    Raises
    ------
    Refused
        If it was in no car then; `Question` for a number that is not believed.
    """
    fitting = (
        Fitting.objects.filter(Q(until_date=None) | Q(until_date__gte=date), unit=unit)
        .filter(from_date__lte=date)
        .select_related("car")
        .order_by("-from_date", "-pk")
        .first()
    )
    if fitting is None:
        raise Refused(
            _("It was in no car on that day. Leave the odometer empty, or put the fitting right."),
            field="shown",
            code="in_no_car",
        )
    return keep_reading(
        car=fitting.car,
        date=date,
        shown=shown,
        by=by,
        source=ReadingSource.WORK,
        confirm=confirm,
        went_round=went_round,
    )
