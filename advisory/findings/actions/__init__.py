"""Every change of a finding: reported, sent, seen, asked about, answered, agreed, closed."""

from advisory.findings.actions.aims import set_answering_aim
from advisory.findings.actions.answering import Measure, Offer, answer_finding, mark_seen
from advisory.findings.actions.cause_lines import add_cause_line, remove_cause_line
from advisory.findings.actions.closing import close_finding
from advisory.findings.actions.measuring import Size, record_measuring
from advisory.findings.actions.replying import bring_measurement, pick_way, write_back
from advisory.findings.actions.reporting import report_finding, send_finding
from advisory.findings.actions.steps import LONGEST_TEXT
from advisory.findings.actions.waiting import drop_waiting_photos, keep_photos

__all__ = [
    "LONGEST_TEXT",
    "Measure",
    "Offer",
    "Size",
    "add_cause_line",
    "answer_finding",
    "bring_measurement",
    "close_finding",
    "drop_waiting_photos",
    "keep_photos",
    "mark_seen",
    "pick_way",
    "record_measuring",
    "remove_cause_line",
    "report_finding",
    "send_finding",
    "set_answering_aim",
    "write_back",
]
