"""What a person is asked when a number is not believed, and what a doubtful line is marked with."""

from datetime import date

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.engineering.odometer import METRES_PER_COUNT, Doubt, Question, Shown
from advisory.people.enums import DistanceUnit
from advisory.register.shown import in_figures


def question_in_words(asked: Question, new: Shown, unit: str) -> str:
    """Say against which other reading a number is not believed."""
    other = {
        "shown": in_figures(new.shown),
        "other": in_figures(asked.other.shown),
        "day": formats.date_format(date.fromordinal(asked.other.day), "j F Y"),
    }
    if asked.doubt is Doubt.GOES_BACKWARDS:
        if asked.other.day > new.day or (asked.other.day == new.day and asked.metres < 0):
            return _("%(shown)s is more than the %(other)s it showed later, on %(day)s.") % other
        return _("%(shown)s is less than the %(other)s it showed on %(day)s.") % other
    told = _way_in_words(asked, new, asked.metres, unit)
    return _(
        "That would be %(distance)s %(spell)s: it showed %(other)s on %(day)s. Hardly anybody"
        " drives so far."
    ) % (told | other)


def round_in_words(asked: Question, new: Shown, unit: str) -> str:
    """Say why nobody drove past the instrument's last number since the other reading."""
    other = formats.date_format(date.fromordinal(asked.other.day), "j F Y")
    told = _way_in_words(asked, new, asked.round_metres or 0.0, unit)
    return _(
        "Past its last number it would be %(distance)s %(spell)s, since %(day)s. Hardly anybody"
        " drives so far."
    ) % (told | {"day": other})


def _way_in_words(asked: Question, new: Shown, metres: float, unit: str) -> dict[str, str]:
    count = metres / METRES_PER_COUNT[unit]
    days = abs(new.day - asked.other.day)
    distance = (_("%(count)s miles") if unit == DistanceUnit.MILE else _("%(count)s km")) % {
        "count": in_figures(round(count))
    }
    spell = _("within one day")
    if days:
        spell = ngettext("in %(count)s day", "in %(count)s days", days) % {
            "count": in_figures(days)
        }
    return {"distance": distance, "spell": spell}
