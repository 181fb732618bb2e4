"""App configuration."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """Accounts, organisations, consents."""

    name = "advisory.people"

    def ready(self) -> None:
        """Say in whose units a page is read, to pages that know no people."""
        from advisory.common.bench.readers import found_by
        from advisory.people.reader import units_of

        found_by(units_of)
