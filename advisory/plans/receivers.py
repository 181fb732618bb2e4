"""What changes below, and the plans that follow from it.

The signals come when the change is committed. Several changes of one transaction make one
reckoning: their units are collected, and whoever comes first takes them all. What is lost when the
process dies in between, the night makes up for.
"""

from collections.abc import Iterable
from contextvars import ContextVar
from typing import Any

from django.db import transaction
from django.dispatch import receiver

from advisory.lubrication.signals import oil_changed
from advisory.plans.actions import refresh_plans
from advisory.register.models import Build, Car, Fitting, Unit
from advisory.register.signals import build_signed, car_changed, unit_changed
from advisory.usage.signals import usage_changed

_waiting: ContextVar[frozenset[int]] = ContextVar("plans_waiting", default=frozenset())


def refresh_soon(units: Iterable[int]) -> None:
    """Reckon the plans of these units once what is being written stands."""
    _waiting.set(_waiting.get() | frozenset(units))
    transaction.on_commit(_refresh_waiting, robust=True)


def _refresh_waiting() -> None:
    units = _waiting.get()
    _waiting.set(frozenset())
    if units:
        refresh_plans(units=units)


def _refresh_car(car: Car) -> None:
    refresh_soon(Fitting.objects.filter(car=car).values_list("unit_id", flat=True))


@receiver(usage_changed)
def after_usage(car: Car, **kwargs: Any) -> None:
    """Move with a reading, an instrument or a lay-up every unit that is, or was, in the car."""
    _refresh_car(car)


@receiver(car_changed)
def after_car(car: Car, **kwargs: Any) -> None:
    """Follow roads, short runs and the expected distance, which move the oil's interval."""
    _refresh_car(car)


@receiver(unit_changed)
def after_unit(unit: Unit, **kwargs: Any) -> None:
    """Follow a new owner, another car."""
    refresh_soon([unit.pk])


@receiver(build_signed)
def after_build(build: Build, **kwargs: Any) -> None:
    """Begin anew after a rebuild."""
    refresh_soon([build.unit_id])


@receiver(oil_changed)
def after_oil(unit: Unit, **kwargs: Any) -> None:
    """Follow another filter, another oil, an oil service."""
    refresh_soon([unit.pk])
