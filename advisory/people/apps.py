"""App configuration."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """Accounts, organisations, consents."""

    name = "advisory.people"
