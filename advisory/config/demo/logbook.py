"""Odometer readings of the demo's cars, from the way they are used."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

DAYS_WATCHED = 730
DAYS_IN_MONTH = 365.25 / 12
READING_DAYS = (7, 19)


@dataclass(frozen=True)
class CarUse:
    """How a car of the scenario is driven; distances in its odometer's unit."""

    annual_distance: float
    month_shares: tuple[float, ...]
    lay_up: tuple[str, str] | None
    showed_two_years_ago: int
    digits: int

    @classmethod
    def of(cls, car: dict[str, Any]) -> "CarUse":
        """Read it from the car's entry in cars.json."""
        lay_up = car["lay_up"]
        return cls(
            annual_distance=car["annual_distance"],
            month_shares=tuple(car["month_shares"]),
            lay_up=(lay_up[0], lay_up[1]) if lay_up else None,
            showed_two_years_ago=car["showed_two_years_ago"],
            digits=car["odometer_digits"],
        )

    @property
    def numbers(self) -> int:
        """How many numbers the odometer can show before it begins again."""
        return int(10**self.digits)

    def driven_on(self, day: date) -> float:
        """Return what is driven on a day."""
        if self.laid_up_on(day):
            return 0.0
        share = self.month_shares[day.month - 1] / sum(self.month_shares)
        return self.annual_distance * share / DAYS_IN_MONTH

    def laid_up_on(self, day: date) -> bool:
        """Say whether the car is put away on a day."""
        if self.lay_up is None:
            return False
        begins, ends = self.lay_up
        now = f"{day:%m-%d}"
        return begins <= now < ends if begins <= ends else now >= begins or now < ends

    def total_on(self, day: date, today: date) -> float:
        """Return the distance covered since watching began, two years before `today`."""
        first = today - timedelta(days=DAYS_WATCHED)
        days = range((day - first).days)
        return sum(self.driven_on(first + timedelta(days=number)) for number in days)

    def shown_on(self, day: date, today: date) -> int:
        """Return the number on the odometer at the end of a day, rolled over where it must."""
        total = self.showed_two_years_ago + self.total_on(day, today)
        return int(total) % self.numbers

    def readings(self, today: date) -> list[tuple[date, int]]:
        """Return what an owner of some patience writes down: twice a month while it is driven."""
        first = today - timedelta(days=DAYS_WATCHED)
        rows = [(first, self.showed_two_years_ago)]
        total = float(self.showed_two_years_ago)
        noted = total
        for number in range(DAYS_WATCHED):
            day = first + timedelta(days=number)
            total += self.driven_on(day)
            if day.day in READING_DAYS and total - noted >= 1:
                rows.append((day, int(total) % self.numbers))
                noted = total
        return rows

    def lay_ups(self, today: date) -> list[tuple[date, date | None]]:
        """Return the spells put away since watching began; the last may still last."""
        first = today - timedelta(days=DAYS_WATCHED)
        spells: list[tuple[date, date | None]] = []
        begun: date | None = None
        for number in range(DAYS_WATCHED + 1):
            day = first + timedelta(days=number)
            if self.laid_up_on(day):
                begun = begun or day
            elif begun is not None:
                spells.append((begun, day))
                begun = None
        if begun is not None:
            spells.append((begun, None))
        return spells
