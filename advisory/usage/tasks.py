"""Jobs: the season of all cars, learnt anew at night."""

from celery import shared_task

from advisory.usage.actions import learn_from_all_cars


@shared_task
def learn_season() -> int:
    """Learn the season anew; return from how many cars."""
    return learn_from_all_cars().cars
