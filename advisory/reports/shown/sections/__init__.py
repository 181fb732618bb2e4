"""The sections of a report: which tables and charts, and what they say and don't."""

from advisory.reports.shown.sections.found import found, wear
from advisory.reports.shown.sections.lasting import lasting
from advisory.reports.shown.sections.looked_after import fleet, in_time, oil
from advisory.reports.shown.sections.trust import trust

__all__ = ["fleet", "found", "in_time", "lasting", "oil", "trust", "wear"]
