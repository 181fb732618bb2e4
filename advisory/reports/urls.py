"""Routes of the reports app."""

from django.urls import URLPattern, URLResolver

app_name = "reports"

urlpatterns: list[URLPattern | URLResolver] = []
