"""App configuration."""

from django.apps import AppConfig


class ApiConfig(AppConfig):
    """The REST API."""

    name = "api"
