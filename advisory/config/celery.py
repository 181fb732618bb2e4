"""The Celery application; `celery -A advisory.config worker` finds it here."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "advisory.config.settings")

app = Celery("advisory")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
