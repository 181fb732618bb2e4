"""App configuration."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """The fleet report."""

    name = "advisory.reports"
