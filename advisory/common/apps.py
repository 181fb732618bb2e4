"""App configuration."""

from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules


class CommonConfig(AppConfig):
    """Base models, audit trail, quantities, the calculators' framework."""

    name = "advisory.common"

    def ready(self) -> None:
        """Let each app declare its calculators, and their pages; count the jobs."""
        from advisory.common import job_tally

        job_tally.listen()
        autodiscover_modules("calculators", "bench")
