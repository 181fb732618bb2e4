"""Every change of a finding: reported, sent, seen, answered."""

from advisory.findings.actions.answering import answer_finding, mark_seen
from advisory.findings.actions.cause_lines import add_cause_line, remove_cause_line
from advisory.findings.actions.measuring import Size, record_measuring
from advisory.findings.actions.reporting import report_finding, send_finding
from advisory.findings.actions.steps import LONGEST_TEXT
from advisory.findings.actions.waiting import drop_waiting_photos, keep_photos

__all__ = [
    "LONGEST_TEXT",
    "Size",
    "add_cause_line",
    "answer_finding",
    "drop_waiting_photos",
    "keep_photos",
    "mark_seen",
    "record_measuring",
    "remove_cause_line",
    "report_finding",
    "send_finding",
]
