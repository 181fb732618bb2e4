"""Learning over all cars what is then believed of each; by itself, at night."""

from itertools import islice

from django.db import transaction
from django.utils import timezone

from advisory.engineering import usage_forecast as forecasting
from advisory.people.clock import today_of
from advisory.register.models import Car
from advisory.usage.models import LearntFleet
from advisory.usage.queries import car_uses_of

# As many as a fleet is learnt from; more teach nothing new.
MOST_CARS = 5_000
CHUNK = 500


def learn_from_all_cars() -> forecasting.Fleet:
    """Learn season, yearly distance and spread anew, and keep them for the forecasts to come.

    Only figures over all cars are kept, none of any car. Killed half-way, it leaves what was
    learnt before.
    """
    every = max(Car.objects.count() // MOST_CARS, 1)
    keys = islice(
        Car.objects.order_by("pk").values_list("pk", flat=True).iterator(), 0, None, every
    )
    chosen = list(keys)
    today = today_of(None)
    uses: list[forecasting.Use] = []
    for begin in range(0, len(chosen), CHUNK):
        some = Car.objects.filter(pk__in=chosen[begin : begin + CHUNK])
        cars = some.select_related("owner").order_by("pk")
        found = (one.use(today) for one in car_uses_of(cars).values())
        uses += [use for use in found if use is not None]
    fleet = (
        forecasting.learn_fleet(forecasting.Uses.of(uses)) if uses else forecasting.DEFAULT_FLEET
    )
    with transaction.atomic():
        row = LearntFleet.objects.create(figures=fleet.as_dict(), learnt_at=timezone.now())
        LearntFleet.objects.filter(pk__lt=row.pk).delete()
    return fleet
