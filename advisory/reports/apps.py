"""App configuration."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The fleet report."""

    name = "advisory.reports"

    def ready(self) -> None:
        """Say who writes the letter about a report."""
        from advisory.notices.enums import MailKind
        from advisory.notices.letters import WRITERS
        from advisory.reports.mailing import report_letter

        WRITERS[MailKind.REPORT] = report_letter
