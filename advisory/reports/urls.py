"""Routes of the reports app."""

from django.urls import path

from advisory.reports import views

app_name = "reports"

urlpatterns = [
    path("fleet/", views.own_fleet, name="own_fleet"),
    path("clubs/<int:pk>/fleet/", views.fleet, name="fleet"),
]
