"""One line of the table of causes."""

from dataclasses import dataclass

from django.utils.functional import Promise

from advisory.findings.causes.evidence import Evidence
from advisory.findings.marks import DamageMark

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class CauseRule:
    """A cause of a mark: what speaks to it, how to tell it from the others, what to do till then.

    `evidence` are the parts of the record that are asked; each may speak for it or against it.
    """

    mark: DamageMark
    cause: Promise
    evidence: tuple[Evidence, ...]
    check: Promise
    until_then: Promise
    source: str = PRACTICE

    @property
    def key(self) -> str:
        """What tells it from every other line."""
        return f"{self.mark}: {self.cause}"
