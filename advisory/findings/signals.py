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
# when a unit's coolant was looked at last: unit, before (a day). Receivers answer a day, or None
coolant_checks_asked = Signal()
# which kinds of work are due on a unit: unit, by. Each receiver answers with a list of `WorkKind`
work_due_asked = Signal()
