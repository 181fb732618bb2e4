"""What this app tells those above it."""

from django.dispatch import Signal

# a unit's oil arrangement or services changed: unit
oil_changed = Signal()
# what was measured on units since they were built: units, by (None for a job). Each receiver
# answers with `lubrication.measured.Measured` by (unit's key, position's key): what `by` may see
clearances_asked = Signal()
