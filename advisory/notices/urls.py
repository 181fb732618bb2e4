"""Routes of the notices app."""

from django.urls import URLPattern, URLResolver

app_name = "notices"

urlpatterns: list[URLPattern | URLResolver] = []
