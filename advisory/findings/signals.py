"""What this app tells those above it."""

from django.dispatch import Signal

# an owner reported a finding: finding
finding_reported = Signal()
# an owner wrote one down that went to nobody: finding
finding_kept = Signal()
# an owner wrote down what was measured: measuring. Sent when it is committed
unit_measured = Signal()
# a workshop answered one: answer
finding_answered = Signal()
