"""What a damage mark points to: likely causes, and what this unit's own record says to each."""

from advisory.findings.causes.gathering import record_of
from advisory.findings.causes.pointing import Pointed, PointedAt, pointed_at
from advisory.findings.causes.record import UnitRecord
from advisory.findings.causes.table import CAUSES

__all__ = ["CAUSES", "Pointed", "PointedAt", "UnitRecord", "pointed_at", "record_of"]
