"""`manage.py backtest_forecast`: how well days are foretold, on the readings kept here."""

from collections.abc import Iterator
from typing import Any

from django.utils.translation import gettext as _

from advisory.common.commands import RecordsCommand
from advisory.engineering import usage_forecast as forecasting
from advisory.people.clock import today_of
from advisory.register.models import Car
from advisory.usage.backtest import Scored, backtest
from advisory.usage.queries import car_uses_of

CHUNK = 500


class Command(RecordsCommand):
    """Hide the last readings of each car, foretell, and print how far off that was."""

    help = (
        "Hides the last third of each car's readings, foretells when it would have come so far, "
        "and prints how far off that was, by the number of readings left. Nothing is changed."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        """Print the table."""
        found = backtest(_uses())
        if found is None:
            self.stdout.write(_("No car has two readings between which it was driven."))
            return
        head = (_("readings"), _("cars"), _("median error, d"), _("pinball, d"), _("80 % holds"))
        self.stdout.write("".join(f"{words:>18s}" for words in head))
        for one in found.classes:
            self.stdout.write(
                f"{_readings(one):>18s}{one.cars:18d}{one.median_error:18.0f}{one.pinball:18.1f}"
                f"{one.holds:18.2f}"
            )
        self.stdout.write(
            _("The true days lie between two readings: they are known to %(days).0f days.")
            % {"days": found.known_to}
        )


def _readings(one: Scored) -> str:
    if one.most is None:
        return _("all") if one.least == 1 else _("%(n)d and more") % {"n": one.least}
    return str(one.least) if one.least == one.most else f"{one.least}-{one.most}"


def _uses() -> Iterator[forecasting.Use]:
    today = today_of(None)
    keys = list(Car.objects.order_by("pk").values_list("pk", flat=True))
    for begin in range(0, len(keys), CHUNK):
        cars = Car.objects.filter(pk__in=keys[begin : begin + CHUNK]).order_by("pk")
        for one in car_uses_of(cars).values():
            if (use := one.use(today)) is not None:
                yield use
