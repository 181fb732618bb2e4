"""What this app tells those above it."""

from django.dispatch import Signal

# a bulletin was sent: bulletin. Sent inside the transaction
bulletin_sent = Signal()
# a unit's plan was computed anew: unit
plan_refreshed = Signal()
