"""Everything of an owner's, or of a workshop's: taken along, and brought into an empty service."""

from advisory.reports.archive.bringing import Brought, bring_in
from advisory.reports.archive.tables import TABLES
from advisory.reports.archive.taking import archive_of, archive_of_workshop, zip_answer

__all__ = ["TABLES", "Brought", "archive_of", "archive_of_workshop", "bring_in", "zip_answer"]
