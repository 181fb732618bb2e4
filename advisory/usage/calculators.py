"""The calculator of due dates: when each of many cars will have come to a distance."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import Any

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    DateField,
    DateOut,
    Field,
    ListField,
    ListOut,
    NumberOut,
    ObjectField,
    ObjectOut,
    Out,
    QuantityField,
    Shape,
    Values,
    Warned,
    WholeOut,
    registry,
)
from advisory.common.calculation.fields import refuse
from advisory.common.problems import FieldError
from advisory.common.quantities import LENGTH
from advisory.engineering.usage_forecast import (
    FEW_CARS,
    Fleet,
    Use,
    Uses,
    days_reached,
    learn_fleet,
)

MOST_READINGS = 5_000
_FARTHEST = Bounds(at_least=0.0, at_most=5e6)
LONGEST_NAME = 100


@dataclass(frozen=True, kw_only=True)
class NameField(Field):
    """What a caller calls a thing: a short text or a whole number, given back as it came."""

    def _read(self, given: object, path: str) -> str | int:
        if isinstance(given, str) and 1 <= len(given) <= LONGEST_NAME:
            return given
        if isinstance(given, int) and not isinstance(given, bool):
            return given
        limit = _("text of 1 to %(n)d characters, or a whole number") % {"n": LONGEST_NAME}
        raise refuse(path, _("It must be %(limit)s.") % {"limit": limit}, limit)

    def _form(self) -> dict[str, Any]:
        return {
            "anyOf": [
                {"type": "string", "minLength": 1, "maxLength": LONGEST_NAME},
                {"type": "integer"},
            ]
        }


@dataclass(frozen=True, kw_only=True)
class NameOut(Out):
    """A name, as it came in."""

    def _written(self, value: Any) -> str | int:
        return value if isinstance(value, int) else str(value)

    def _form(self) -> dict[str, Any]:
        return {"type": ["string", "integer"]}


def _distance(name: str, what: str) -> QuantityField:
    return QuantityField(name=name, description=what, dimension=LENGTH, unit="km", bounds=_FARTHEST)


def _never_falling(values: Values) -> Iterable[FieldError]:
    read = sorted(values["readings"], key=lambda one: (one["date"], one["distance"]))
    for before, after in pairwise(read):
        if after["distance"] < before["distance"]:
            limit = _("never falling")
            yield FieldError(
                "readings",
                _("From %(first)s to %(second)s the distance falls: count it on one line.")
                % {"first": before["date"].isoformat(), "second": after["date"].isoformat()},
                limit,
            )
            return


def _lay_ups_end_later(values: Values) -> Iterable[FieldError]:
    if values["to"] is not None and values["to"] < values["from"]:
        limit = _("not before from")
        yield FieldError("to", _("It must be %(limit)s.") % {"limit": limit}, limit)


def _read_by_today(values: Values) -> Iterable[FieldError]:
    for place, car in enumerate(values["cars"]):
        today = car["today"] or values["today"]
        for number, one in enumerate(car["readings"]):
            if one["date"] > today:
                limit = _("at most %(today)s") % {"today": today.isoformat()}
                yield FieldError(
                    f"cars[{place}].readings[{number}].date",
                    _("It must be %(limit)s: nobody has read it yet.") % {"limit": limit},
                    limit,
                )


_CAR = ObjectField(
    name="car",
    description="One car.",
    shape=Shape(
        fields=(
            NameField(name="id", description="What you call it."),
            _distance("limit", "The distance at which it is due."),
            DateField(
                name="today", description="Its own day of asking, where it differs.", default=None
            ),
            ListField(
                name="readings",
                description="What its odometer showed, on one count that never falls.",
                at_most=MOST_READINGS,
                item=ObjectField(
                    name="reading",
                    description="One reading.",
                    shape=Shape(
                        fields=(
                            DateField(name="date", description="Its day."),
                            _distance("distance", "The distance shown."),
                        )
                    ),
                ),
            ),
            ListField(
                name="laid_up",
                description="Days on which it is put away, past or announced.",
                at_least=0,
                at_most=500,
                default=[],
                item=ObjectField(
                    name="lay_up",
                    description="One lay-up.",
                    shape=Shape(
                        fields=(
                            DateField(name="from", description="Its first day."),
                            DateField(
                                name="to",
                                description="Its last day; left out while it lasts.",
                                default=None,
                            ),
                        ),
                        checks=(_lay_ups_end_later,),
                    ),
                ),
            ),
        ),
        checks=(_never_falling,),
    ),
)
_FIELDS: tuple[Field, ...] = (
    ListField(
        name="cars",
        description="The cars; season and spread are learnt over all of them.",
        item=_CAR,
    ),
    DateField(name="today", description="The day of asking."),
)


def _day(name: str, what: str) -> DateOut:
    return DateOut(name=name, description=what, nullable=True)


_ANSWERS: tuple[Out, ...] = (
    ListOut(
        name="cars",
        description="Each car, in the order in which it came.",
        item=ObjectOut(
            name="car",
            description="When one car is due; null where that is more than ten years ahead.",
            parts=(
                NameOut(name="id", description="What you call it."),
                _day("p10", "Due by then with a chance of 10 %."),
                _day("p50", "Due by then as likely as not."),
                _day("p90", "Due by then with a chance of 90 %."),
            ),
        ),
    ),
    ObjectOut(
        name="season",
        description="What was learnt over all cars.",
        parts=(
            WholeOut(name="cars", description="Cars with two readings at least."),
            NumberOut(
                name="learnt",
                description="How much of it was learnt from these cars, 0 to 1; the rest is the "
                "stated default.",
            ),
            ListOut(
                name="month_factors",
                description="Use in each month over that of a mean month, January first.",
                item=NumberOut(name="month", description="One month."),
            ),
        ),
    ),
)


def _uses(row: Values) -> Uses:
    uses = []
    for car in row["cars"]:
        read = sorted((one["date"].toordinal(), one["distance"]) for one in car["readings"])
        uses.append(
            Use(
                days=tuple(day for day, _metres in read),
                metres=tuple(metres for _day, metres in read),
                today=(car["today"] or row["today"]).toordinal(),
                lay_ups=tuple(
                    (one["from"].toordinal(), one["to"].toordinal() if one["to"] else None)
                    for one in car["laid_up"]
                ),
            )
        )
    return Uses.of(uses)


def _date(day: float) -> date | None:
    return None if day != day else date.fromordinal(int(day))


def _warned(fleet: Fleet) -> tuple[Warned, ...]:
    if fleet.cars >= FEW_CARS:
        return ()
    return (
        Warned(
            "few_cars",
            _(
                "The season rests on %(cars)d of these cars, those that were read twice at least; "
                "below %(n)d of them the stated default counts the more, the fewer they are."
            )
            % {"cars": fleet.cars, "n": FEW_CARS},
        ),
    )


def _answer(row: Values) -> Answer:
    uses = _uses(row)
    fleet = learn_fleet(uses)
    limits = np.array([car["limit"] for car in row["cars"]])
    found = days_reached(uses, limits, fleet).tolist()
    return Answer(
        {
            "cars": [
                {"id": car["id"], "p10": _date(p10), "p50": _date(p50), "p90": _date(p90)}
                for car, (p10, p50, p90) in zip(row["cars"], found, strict=True)
            ],
            "season": {
                "cars": fleet.cars,
                "learnt": fleet.learnt,
                "month_factors": fleet.month_factors,
            },
        },
        _warned(fleet),
    )


def _compute(rows: Sequence[Values]) -> list[Answer]:
    # The cars of a case are reckoned together; the fleets of two cases have nothing in common.
    return [_answer(row) for row in rows]


def _read(*pairs: tuple[str, float]) -> list[dict[str, str]]:
    return [{"date": day, "distance": f"{km:g} km"} for day, km in pairs]


DUE_DATE = registry.register(
    Calculator(
        name="due-date",
        version="2",
        summary="When each of many cars will have come to a distance, from few readings.",
        takes=Shape(fields=_FIELDS, checks=(_read_by_today,)),
        answers=_ANSWERS,
        sources=(
            "Gamma prior and exposure: A. Gelman et al., Bayesian Data Analysis, 2.6 (memory)",
            "Default season: common practice, no source",
        ),
        compute=_compute,
        example={
            "today": "2025-06-01",
            "cars": [
                {
                    "id": "green saloon",
                    "limit": "45000 km",
                    "readings": _read(
                        ("2023-05-06", 37_410), ("2024-04-20", 40_150), ("2025-05-24", 42_980)
                    ),
                },
                {
                    "id": "black tourer",
                    "limit": "12500 mile",
                    "readings": _read(("2025-04-12", 18_020)),
                    "laid_up": [{"from": "2025-11-01", "to": "2026-04-15"}],
                },
            ],
        },
        most_cases=100,
    )
)
