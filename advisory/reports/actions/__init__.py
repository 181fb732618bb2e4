"""Changes of state of the reports: fleet reports, and what a workshop does about its units."""

from advisory.reports.actions.fleet import (
    finish_report,
    finish_waiting,
    half_year_of,
    make_half_yearly,
    make_report,
)
from advisory.reports.actions.follow_ups import log_call, set_aside, write_to_owner
from advisory.reports.actions.preparing import prepare_report, prepare_reports
from advisory.reports.actions.weekly import write_weekly_letters

__all__ = [
    "finish_report",
    "finish_waiting",
    "half_year_of",
    "log_call",
    "make_half_yearly",
    "make_report",
    "prepare_report",
    "prepare_reports",
    "set_aside",
    "write_to_owner",
    "write_weekly_letters",
]
