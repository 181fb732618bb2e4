"""Routes of the lubrication app."""

from django.urls import URLPattern, URLResolver

app_name = "lubrication"

urlpatterns: list[URLPattern | URLResolver] = []
