"""Routes of the findings app."""

from django.urls import URLPattern, URLResolver, path

from advisory.findings.views import causes, exchange, findings, inspecting, measuring

app_name = "findings"

urlpatterns: list[URLPattern | URLResolver] = [
    path("units/<int:pk>/findings/new/", findings.new, name="new"),
    path("units/<int:pk>/measure/", measuring.measure, name="measure"),
    path("measured/<int:pk>/", measuring.measured, name="measured"),
    path("units/<int:pk>/inspect/", inspecting.start, name="inspect"),
    path("inspections/keeper.js", inspecting.keeper, name="keeper"),
    path("inspections/<int:pk>/", inspecting.inspection, name="inspection"),
    path("inspections/<int:pk>/steps/<int:order>/", inspecting.step, name="inspection_step"),
    path("inspections/<int:pk>/summary/", inspecting.summary, name="inspection_summary"),
    path("inspections/<int:pk>/drop/", inspecting.drop, name="inspection_drop"),
    path("findings/", findings.inbox_page, name="inbox"),
    path("findings/mine/", findings.own, name="own"),
    path("causes/", causes.table, name="causes"),
    path("causes/<int:pk>/remove/", causes.remove_line, name="remove_cause"),
    path("designs/<int:pk>/causes/", causes.own_lines, name="own_causes"),
    path("findings/<int:pk>/", exchange.finding, name="finding"),
    path("findings/<int:pk>/write/", exchange.write, name="write"),
    path("findings/<int:pk>/close/", exchange.close, name="close"),
    path("findings/<int:pk>/print/", exchange.printed, name="print"),
    path("findings/asked/<int:pk>/", exchange.bring, name="bring"),
    path("findings/ways/<int:pk>/pick/", exchange.pick, name="pick"),
    path("workshops/<int:pk>/answering/", exchange.aim, name="aim"),
    path("findings/<int:pk>/send/", findings.send, name="send"),
    path("findings/photos/<int:pk>/", findings.photo, name="photo"),
    path("findings/photos/waiting/<int:pk>/", findings.waiting_photo, name="waiting_photo"),
]
