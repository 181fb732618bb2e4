"""Routes of the reports app."""

from django.urls import path

from advisory.reports.views import archives, compared, fleet, follow_up, recurring

app_name = "reports"

urlpatterns = [
    path("fleet/", fleet.own_fleet, name="own_fleet"),
    path("clubs/<int:pk>/fleet/", fleet.fleet, name="fleet"),
    path("clubs/<int:pk>/fleet/new/", fleet.new, name="new"),
    path("clubs/<int:pk>/fleet/progress/", fleet.progress, name="progress"),
    path("clubs/<int:pk>/fleet/<int:report>/report.pdf", fleet.pdf, name="pdf"),
    path("clubs/<int:pk>/fleet/<int:report>/tables.zip", fleet.tables, name="tables"),
    path(
        "clubs/<int:pk>/fleet/<int:report>/since/<int:earlier>/", compared.differs, name="differs"
    ),
    path("clubs/<int:pk>/fleet/<int:report>/beside/", compared.beside, name="beside"),
    path("workshops/<int:pk>/fleet/", fleet.workshop, name="workshop"),
    path("workshops/<int:pk>/fleet/report.pdf", fleet.workshop_pdf, name="workshop_pdf"),
    path("account/everything.zip", archives.own_archive, name="own_archive"),
    path("workshops/<int:pk>/everything.zip", archives.workshop_archive, name="workshop_archive"),
    path("workshops/<int:pk>/fleet/tables.zip", fleet.workshop_tables, name="workshop_tables"),
    path("workshops/<int:pk>/follow-up/", follow_up.follow_up, name="follow_up"),
    path("units/<int:pk>/follow-up/", follow_up.follow_up_unit, name="follow_up_unit"),
    path("workshops/<int:pk>/recurring/", recurring.recurring, name="recurring"),
    path(
        "workshops/<int:pk>/recurring/units/",
        recurring.recurring_units,
        name="recurring_units",
    ),
    path(
        "workshops/<int:pk>/recurring/findings.csv",
        recurring.recurring_csv,
        name="recurring_csv",
    ),
]
