"""Routes of the common app."""

from django.urls import path

from advisory.common.views import choose_theme, stylesheet

urlpatterns = [
    path("theme/", choose_theme, name="theme"),
    path("styles/<str:digest>.css", stylesheet, name="stylesheet"),
]
