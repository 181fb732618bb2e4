"""Routes of the reports app."""

from django.urls import path

from advisory.reports import follow_up_views, recurring_views, views

app_name = "reports"

urlpatterns = [
    path("fleet/", views.own_fleet, name="own_fleet"),
    path("clubs/<int:pk>/fleet/", views.fleet, name="fleet"),
    path("clubs/<int:pk>/fleet/new/", views.new, name="new"),
    path("clubs/<int:pk>/fleet/progress/", views.progress, name="progress"),
    path("clubs/<int:pk>/fleet/<int:report>/report.pdf", views.pdf, name="pdf"),
    path("clubs/<int:pk>/fleet/<int:report>/tables.zip", views.tables, name="tables"),
    path("clubs/<int:pk>/fleet/<int:report>/since/<int:earlier>/", views.differs, name="differs"),
    path("workshops/<int:pk>/fleet/", views.workshop, name="workshop"),
    path("workshops/<int:pk>/fleet/report.pdf", views.workshop_pdf, name="workshop_pdf"),
    path("account/everything.zip", views.own_archive, name="own_archive"),
    path("workshops/<int:pk>/everything.zip", views.workshop_archive, name="workshop_archive"),
    path("workshops/<int:pk>/fleet/tables.zip", views.workshop_tables, name="workshop_tables"),
    path("workshops/<int:pk>/follow-up/", follow_up_views.follow_up, name="follow_up"),
    path("units/<int:pk>/follow-up/", follow_up_views.follow_up_unit, name="follow_up_unit"),
    path("workshops/<int:pk>/recurring/", recurring_views.recurring, name="recurring"),
    path(
        "workshops/<int:pk>/recurring/units/",
        recurring_views.recurring_units,
        name="recurring_units",
    ),
    path(
        "workshops/<int:pk>/recurring/findings.csv",
        recurring_views.recurring_csv,
        name="recurring_csv",
    ),
]
