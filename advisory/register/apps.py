"""App configuration."""

from django.apps import AppConfig


class RegisterConfig(AppConfig):
    """Cars, units, designs, builds."""

    name = "advisory.register"
