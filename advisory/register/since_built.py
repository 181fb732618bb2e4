"""Work on a unit counts from the day on which it was built last."""

from datetime import date

from django.db.models import Max
from django.utils import formats
from django.utils.translation import gettext as _

from advisory.common.errors import Refused
from advisory.register.models import Unit
from advisory.register.queries import standing_builds


def require_since_built(unit: Unit, day: date) -> None:
    """Refuse work on a day before the unit was built last, as far as a signed sheet says it.

    Raises
    ------
    Refused
        Saying on which day it was built.
    """
    built = standing_builds().filter(unit=unit).aggregate(last=Max("built_on"))["last"]
    if built is not None and day < built:
        raise Refused(
            _(
                "It was built on %(day)s, and its plan counts from then. Enter that day or a later"
                " one."
            )
            % {"day": formats.date_format(built, "j F Y")},
            field="date",
            code="before_build",
        )
