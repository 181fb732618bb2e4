"""Routes of the API, by version."""

from django.urls import URLPattern, URLResolver, include, path

app_name = "api"

urlpatterns: list[URLPattern | URLResolver] = [path("v1/", include("api.v1.urls"))]
