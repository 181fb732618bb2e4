"""Routes of the common app."""

from django.urls import path

from advisory.common.bench import views as bench
from advisory.common.views import choose_theme, stylesheet

urlpatterns = [
    path("calculators/", bench.calculators, name="calculators"),
    path("calculators/<slug:name>/", bench.calculator, name="calculator"),
    path("methods/", bench.methods, name="methods"),
    path("methods/<slug:name>/", bench.method, name="method"),
    path("theme/", choose_theme, name="theme"),
    path("styles/<str:digest>.css", stylesheet, name="stylesheet"),
]
