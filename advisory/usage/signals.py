"""What this app tells those above it."""

from django.dispatch import Signal

# a car's readings, instruments or lay-ups changed: car
usage_changed = Signal()
# what a unit's hour counter showed changed: unit
hours_changed = Signal()
