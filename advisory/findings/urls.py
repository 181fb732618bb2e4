"""Routes of the findings app."""

from django.urls import URLPattern, URLResolver, path

from advisory.findings import (
    cause_views,
    exchange_views,
    inspecting_views,
    measuring_views,
    views,
)

app_name = "findings"

urlpatterns: list[URLPattern | URLResolver] = [
    path("units/<int:pk>/findings/new/", views.new, name="new"),
    path("units/<int:pk>/measure/", measuring_views.measure, name="measure"),
    path("measured/<int:pk>/", measuring_views.measured, name="measured"),
    path("units/<int:pk>/inspect/", inspecting_views.start, name="inspect"),
    path("inspections/<int:pk>/", inspecting_views.inspection, name="inspection"),
    path("inspections/<int:pk>/steps/<int:order>/", inspecting_views.step, name="inspection_step"),
    path("inspections/<int:pk>/summary/", inspecting_views.summary, name="inspection_summary"),
    path("inspections/<int:pk>/drop/", inspecting_views.drop, name="inspection_drop"),
    path("findings/", views.inbox_page, name="inbox"),
    path("findings/mine/", views.own, name="own"),
    path("causes/", cause_views.table, name="causes"),
    path("causes/<int:pk>/remove/", cause_views.remove_line, name="remove_cause"),
    path("designs/<int:pk>/causes/", cause_views.own_lines, name="own_causes"),
    path("findings/<int:pk>/", exchange_views.finding, name="finding"),
    path("findings/<int:pk>/write/", exchange_views.write, name="write"),
    path("findings/<int:pk>/close/", exchange_views.close, name="close"),
    path("findings/<int:pk>/print/", exchange_views.printed, name="print"),
    path("findings/asked/<int:pk>/", exchange_views.bring, name="bring"),
    path("findings/ways/<int:pk>/pick/", exchange_views.pick, name="pick"),
    path("workshops/<int:pk>/answering/", exchange_views.aim, name="aim"),
    path("findings/<int:pk>/send/", views.send, name="send"),
    path("findings/photos/<int:pk>/", views.photo, name="photo"),
    path("findings/photos/waiting/<int:pk>/", views.waiting_photo, name="waiting_photo"),
]
