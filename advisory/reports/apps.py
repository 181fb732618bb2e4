"""App configuration."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The fleet report."""

    name = "advisory.reports"

    def ready(self) -> None:
        """Say who writes the letters about what is kept here."""
        from advisory.notices.enums import MailKind
        from advisory.notices.letters import WRITERS
        from advisory.reports.follow_up.letter import follow_up_letter
        from advisory.reports.mailing import report_letter
        from advisory.reports.weekly import weekly_letter

        WRITERS[MailKind.REPORT] = report_letter
        WRITERS[MailKind.FOLLOW_UP] = follow_up_letter
        WRITERS[MailKind.WEEKLY] = weekly_letter
