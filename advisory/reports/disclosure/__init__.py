"""What may be told, so that nobody is given away."""

from advisory.reports.disclosure.kept import packed, unpacked
from advisory.reports.disclosure.ledger import (
    LEAST_OWNERS,
    Contributions,
    Ledger,
    contributions,
)

__all__ = ["LEAST_OWNERS", "Contributions", "Ledger", "contributions", "packed", "unpacked"]
