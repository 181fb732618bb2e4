"""What may be told, so that nobody is given away."""

from advisory.reports.disclosure.kept import owners_of, packed, unpacked
from advisory.reports.disclosure.ledger import (
    LEAST_OWNERS,
    Contributions,
    Ledger,
    contributions,
)

__all__ = [
    "LEAST_OWNERS",
    "Contributions",
    "Ledger",
    "contributions",
    "owners_of",
    "packed",
    "unpacked",
]
