"""App configuration."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """Settings, commands, the machine."""

    name = "advisory.config"
