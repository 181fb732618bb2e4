"""Routes of the plans app."""

from django.urls import URLPattern, URLResolver

app_name = "plans"

urlpatterns: list[URLPattern | URLResolver] = []
