"""How lives are told to the calculator of lifetimes."""

from collections.abc import Iterable

from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Bounds,
    Field,
    ListField,
    NumberField,
    ObjectField,
    Shape,
    TextField,
    Values,
    YesNoField,
)
from advisory.common.problems import FieldError

MOST_LIVES = 2_000
MOST_GROUPS = 20


def _watched_before_its_end(values: Values) -> Iterable[FieldError]:
    if not values["entry"] < values["duration"]:
        limit = _("below the duration")
        yield FieldError("entry", _("It must be %(limit)s.") % {"limit": limit}, limit)


def _few_groups(values: Values) -> Iterable[FieldError]:
    n = len({life["group"] for life in values["lives"]})
    if n > MOST_GROUPS:
        limit = _("at most %(n)d groups") % {"n": MOST_GROUPS}
        yield FieldError(
            "lives", _("There are %(n)d groups: %(limit)s.") % {"n": n, "limit": limit}, limit
        )


_FIELDS: tuple[Field, ...] = (
    ListField(
        name="lives",
        description="Each life that was watched, durations in any one unit.",
        at_most=MOST_LIVES,
        item=ObjectField(
            name="life",
            description="One life.",
            shape=Shape(
                fields=(
                    NumberField(
                        name="duration",
                        description="Age at failure, or when last seen whole.",
                        bounds=Bounds(above=0.0, at_most=1e12),
                    ),
                    YesNoField(name="failed", description="Whether it failed then."),
                    NumberField(
                        name="entry",
                        description="Age at which watching began.",
                        bounds=Bounds(at_least=0.0),
                        default=0,
                    ),
                    TextField(
                        name="group",
                        description="What it is compared by.",
                        longest=60,
                        default=None,
                    ),
                ),
                checks=(_watched_before_its_end,),
            ),
        ),
    ),
)

SHAPE = Shape(fields=_FIELDS, checks=(_few_groups,))
