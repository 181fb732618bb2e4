"""Routes of the findings app."""

from django.urls import URLPattern, URLResolver

app_name = "findings"

urlpatterns: list[URLPattern | URLResolver] = []
