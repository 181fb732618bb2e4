"""Routes for whoever watches the service."""

from django.urls import path

from advisory.config.watch import views

urlpatterns = [
    path("health/live/", views.live, name="live"),
    path("health/ready/", views.ready, name="ready"),
    path("metrics/", views.metrics, name="metrics"),
]
