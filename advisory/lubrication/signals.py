"""What this app tells those above it."""

from django.dispatch import Signal

# a unit's oil arrangement or services changed: unit
oil_changed = Signal()
