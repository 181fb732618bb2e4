"""Whether a figure is believed without a word."""

from django.utils.translation import gettext as _

from advisory.common.errors import Question
from advisory.findings.judgement import HeldAgainst

# Less than a tenth of what it was built with is a wrong unit as well: nothing wears smaller.
SHARE_OF_BUILT = 0.1
# Beyond this a clearance, float or gap is a wrong unit more often than a true figure; beyond ten
# times a known limit as well. Common practice, no source: it only asks, it refuses nothing.
LARGEST_BELIEVED = 3e-3
TIMES_THE_LIMIT = 10
THOU_IN_MM = 25.4


def ask_if_not_believed(
    value: float, against: HeldAgainst, as_typed: str, *, field: str = "measurement"
) -> None:
    """Ask about a figure (m) that is far too large or too small: it may be in another unit.

    Raises
    ------
    Question
        For the person to look at the unit of measurement again.
    """
    limit, built = against.wear_limit, against.as_built or against.as_built_least
    if built and 0 < value < SHARE_OF_BUILT * built:
        raise Question(
            _(
                "%(typed)s is very little here: it was built with %(times)d times as much. Look at "
                "the unit, thou or mm; if it is right, say so and send it again."
            )
            % {"typed": as_typed or f"{value * 1e3:g} mm", "times": round(built / value)},
            field=field,
            code="measurement_small",
        )
    if value <= LARGEST_BELIEVED and (limit is None or value <= TIMES_THE_LIMIT * limit):
        return
    raise Question(
        _(
            "%(typed)s is very much here. Look at the unit, thou or mm; if it is right, "
            "say so and send it again."
        )
        % {"typed": as_typed or f"{value * 1e3:g} mm"},
        field=field,
        code="measurement_large",
    )
