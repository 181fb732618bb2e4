"""What this app tells those above it."""

from django.dispatch import Signal

# an owner reported a finding: finding
finding_reported = Signal()
# an owner wrote one down that went to nobody: finding
finding_kept = Signal()
# an owner wrote down what was measured: measuring. Sent when it is committed
unit_measured = Signal()
# a workshop answered one, asked about it or closed it: answer. Sent inside the transaction, as are
# those below
finding_answered = Signal()
# an owner wrote back, brought a measurement, or picked a way to put it right: answer
finding_replied = Signal()
# an owner picked a way to put it right: finding, way
way_picked = Signal()
# a finding's course went on, whoever moved it, or its standing instruction changed: finding
finding_moved = Signal()
# when a unit's coolant was looked at last: unit, before (a day). Receivers answer a day, or None
coolant_checks_asked = Signal()
# which kinds of work are due on a unit: unit, by. Each receiver answers with a list of `WorkKind`
work_due_asked = Signal()
# a round was finished: inspection, works (what it looked at whole), by. Sent inside the transaction
inspection_finished = Signal()
# how work stands on the plan since a round: inspection, by. Each receiver answers with the day on
# which it was done since, or None where it is open, by `WorkKind`
round_on_plan_asked = Signal()
