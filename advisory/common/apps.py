"""App configuration."""

from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules


class CommonConfig(AppConfig):
    """Base models, audit trail, quantities, the calculators' framework."""

    name = "advisory.common"

    def ready(self) -> None:
        """Let each app declare its calculators, and their pages; count jobs, greet databases."""
        from advisory.common import connecting, job_tally

        connecting.listen()
        job_tally.listen()
        autodiscover_modules("calculators", "bench")
