"""Settings, routes, and the machine that runs them."""

from advisory.config.celery import app as celery_app

__all__ = ["celery_app"]
