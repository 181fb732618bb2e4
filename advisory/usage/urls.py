"""Routes of the usage app."""

from django.urls import URLPattern, URLResolver

app_name = "usage"

urlpatterns: list[URLPattern | URLResolver] = []
