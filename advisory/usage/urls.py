"""Routes of the usage app."""

from django.urls import path

from advisory.usage.views import hours, imports, lay_ups, logbook, odometers, readings

app_name = "usage"

urlpatterns = [
    path("logbook/", logbook.own_logbook, name="logbook"),
    path("cars/<int:pk>/", logbook.logbook, name="logbook"),
    path("cars/<int:pk>/readings/new/", readings.reading_new, name="reading_new"),
    path("readings/<int:pk>/", readings.reading_edit, name="reading_edit"),
    path("cars/<int:pk>/odometer/new/", odometers.odometer_replace, name="odometer_replace"),
    path("cars/<int:pk>/odometer/", odometers.odometer_edit, name="odometer_edit"),
    path("cars/<int:pk>/lay-up/", lay_ups.lay_up, name="lay_up"),
    path("cars/<int:pk>/return/", lay_ups.return_to_use, name="return"),
    path("lay-ups/<int:pk>/cancel/", lay_ups.cancel, name="lay_up_cancel"),
    path("units/<int:pk>/hours/", hours.hours, name="hours"),
    path("hours/<int:pk>/strike/", hours.strike, name="hours_strike"),
    path("cars/<int:pk>/import/", imports.upload, name="import"),
    path("cars/<int:pk>/import/<int:upload_pk>/", imports.check, name="import_check"),
]
