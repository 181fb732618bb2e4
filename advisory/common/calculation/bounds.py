"""Limits on a number, in words that a person reads and in a JSON schema."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

#: A limit that is itself allowed is not missed by the last digit of a conversion.
_SLACK = 1e-12


@dataclass(frozen=True, kw_only=True)
class Bounds:
    """Limits on a number: above or at least, below or at most."""

    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None

    def hold(self, value: float) -> bool:
        """Whether a value lies within them; not-a-number never does."""
        slack = _SLACK * abs(value)
        return not (
            value != value
            or (self.above is not None and not value > self.above)
            or (self.at_least is not None and not value + slack >= self.at_least)
            or (self.below is not None and not value < self.below)
            or (self.at_most is not None and not value - slack <= self.at_most)
        )

    def in_words(self, unit: str = "") -> str:
        """Write them for a person: "above 0 mm and at most 500 mm"; "" where there are none."""
        tail = f" {unit}" if unit else ""
        words = [
            (self.above, _("above %(limit)s")),
            (self.at_least, _("at least %(limit)s")),
            (self.below, _("below %(limit)s")),
            (self.at_most, _("at most %(limit)s")),
        ]
        said = [text % {"limit": f"{limit:g}{tail}"} for limit, text in words if limit is not None]
        return _(" and ").join(said)

    def schema(self) -> dict[str, Any]:
        """Write them as keywords of a JSON schema."""
        keywords = {
            "exclusiveMinimum": self.above,
            "minimum": self.at_least,
            "exclusiveMaximum": self.below,
            "maximum": self.at_most,
        }
        return {keyword: limit for keyword, limit in keywords.items() if limit is not None}


UNBOUNDED = Bounds()
