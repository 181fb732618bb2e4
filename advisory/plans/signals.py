"""What this app tells those above it."""

from django.dispatch import Signal

# a unit's plan was computed anew: unit
plan_refreshed = Signal()
