"""What a report may be asked for, and which of its figures may then be told."""

from collections.abc import Sequence
from dataclasses import dataclass

from advisory.reports.disclosure.ledger import Ledger, Query
from advisory.reports.enums import Period
from advisory.reports.gathering import rings_of

ALL = "all"


@dataclass(frozen=True)
class Choice:
    """Designs and years."""

    key: str  # "all", "kind-engine", "design-12"
    designs: tuple[int, ...]
    period: Period

    @property
    def code(self) -> str:
        """Both in one word."""
        return f"{self.key}.{self.period.value}"


@dataclass(frozen=True)
class Manners:
    """How few owners and events a figure may have behind it."""

    owners: int = 5
    curve_owners: int = 10
    curve_events: int = 5


# Officers see figures of many; a workshop sees its own customers' units one by one anyhow.
OF_A_CLUB = Manners()
OF_A_WORKSHOP = Manners(owners=1, curve_owners=2, curve_events=2)


@dataclass(frozen=True)
class Admission:
    """What a choice's figures may tell; asked in the order in which they matter."""

    choice: Choice
    ledgers: dict[str, Ledger]
    manners: Manners

    def __call__(self, column: str, rows: Query | None = None) -> bool:
        """Say whether the figure of a column, for this choice and these rows, may be told."""
        ledger = self.ledgers[column]
        query: dict[str, Sequence[int]] = {"design": self.choice.designs}
        if "ring" in ledger.now.dimensions:
            query["ring"] = rings_of(self.choice.period)
        for name, values in (rows or {}).items():
            query[name] = (
                [v for v in values if v in self.choice.designs] if name == "design" else values
            )
        return ledger.admits(query)

    def of_design(self, design: int) -> bool:
        """Say whether it may be told that there are units of a design."""
        return self.ledgers["units"].admits({"design": [design]})
