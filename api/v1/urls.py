"""Routes of version 1."""

from django.urls import URLPattern, URLResolver, path
from drf_spectacular.views import SpectacularAPIView
from rest_framework.routers import SimpleRouter

from api.v1 import (
    archives,
    books,
    builds,
    bulletins,
    calculations,
    cars,
    causes,
    designs,
    exchange,
    findings,
    follow_ups,
    hand_overs,
    history,
    inspections,
    lubrication,
    messages,
    notice_preferences,
    notices,
    oil_choice,
    people,
    plans,
    records,
    recurring,
    reports,
    units,
    usage,
    webhooks,
    what_if,
)

router = SimpleRouter()
router.register("organisations", people.OrganisationViewSet)
router.register("consents", people.ConsentViewSet)
router.register("cars", cars.CarViewSet)
router.register("odometers", usage.OdometerViewSet)
router.register("readings", usage.ReadingViewSet)
router.register("hour-readings", usage.HourReadingViewSet)
router.register("lay-ups", usage.LayUpViewSet)
router.register("designs", designs.DesignViewSet)
router.register("units", units.UnitViewSet)
router.register("builds", builds.BuildViewSet)
router.register("fittings", units.FittingViewSet)
router.register("lubricants", lubrication.LubricantViewSet)
router.register("oil-arrangements", lubrication.ArrangementViewSet)
router.register("oil-services", lubrication.OilServiceViewSet)
router.register("oil-advice", lubrication.AdviceViewSet)
router.register("plan-items", plans.PlanItemViewSet)
router.register("work-done", plans.WorkDoneViewSet)
router.register("findings", findings.FindingViewSet)
router.register("measurings", findings.MeasuringViewSet)
router.register("inspections", inspections.InspectionViewSet)
router.register("cause-lines", causes.CauseLineViewSet)
router.register("follow-ups", follow_ups.FollowUpViewSet)
router.register("reminders", notices.ReminderViewSet)
router.register("calendar-feeds", notices.FeedViewSet)
router.register("bulletins", bulletins.BulletinViewSet)
router.register("bulletin-units", bulletins.BulletinUnitViewSet)
router.register("snoozes", messages.SnoozeViewSet)
router.register("sendings", messages.SendingViewSet)
router.register("webhook-messages", webhooks.WebhookMessageViewSet)

urlpatterns: list[URLPattern | URLResolver] = [
    path("schema/", SpectacularAPIView.as_view(), name="schema"),
    path("me/", people.MeView.as_view(), name="me"),
    path("me/archive/", archives.OwnArchiveView.as_view(), name="me-archive"),
    path("me/messages/", messages.MessagesView.as_view(), name="me-messages"),
    path("me/notices/", notice_preferences.NoticePreferenceView.as_view(), name="me-notices"),
    path("units/<int:pk>/oil-choice/", oil_choice.OilChoiceView.as_view(), name="unit-oil-choice"),
    path("units/<int:pk>/booklet/", archives.BookletView.as_view(), name="unit-booklet"),
    path("units/<int:pk>/history/", history.HistoryView.as_view(), name="unit-history"),
    path("findings/<int:pk>/causes/", causes.FindingCausesView.as_view(), name="finding-causes"),
    path("claims/", hand_overs.ClaimView.as_view(), name="claims"),
    path("units/<int:pk>/what-if/", what_if.WhatIfView.as_view(), name="unit-what-if"),
    path("clubs/<int:pk>/fleet/", reports.FleetReportView.as_view(), name="fleet"),
    path("clubs/<int:pk>/fleet/reports/", reports.KeptReportsView.as_view(), name="fleet-reports"),
    path(
        "clubs/<int:pk>/fleet/reports/<int:report>/",
        reports.KeptReportView.as_view(),
        name="fleet-report",
    ),
    path("workshops/<int:pk>/units/", books.WorkshopUnitsView.as_view(), name="workshop-units"),
    path("workshops/<int:pk>/answering/", exchange.AimView.as_view(), name="workshop-answering"),
    path("workshops/<int:pk>/take-on/", hand_overs.TakeOnView.as_view(), name="workshop-take-on"),
    path("workshops/<int:pk>/records/", records.OldRecordsView.as_view(), name="workshop-records"),
    path(
        "workshops/<int:pk>/archive/",
        archives.WorkshopArchiveView.as_view(),
        name="workshop-archive",
    ),
    path("workshops/<int:pk>/fleet/", reports.WorkshopFleetView.as_view(), name="workshop-fleet"),
    path("workshops/<int:pk>/webhook/", webhooks.WebhookView.as_view(), name="webhook"),
    path(
        "workshops/<int:pk>/webhook/secret/",
        webhooks.WebhookSecretView.as_view(),
        name="webhook-secret",
    ),
    path(
        "workshops/<int:pk>/webhook/trial/",
        webhooks.WebhookTrialView.as_view(),
        name="webhook-trial",
    ),
    path(
        "workshops/<int:pk>/follow-up/",
        follow_ups.FollowListView.as_view(),
        name="workshop-follow-up",
    ),
    path("units/<int:pk>/follow-up/", follow_ups.FollowUnitView.as_view(), name="unit-follow-up"),
    path(
        "workshops/<int:pk>/recurring/",
        recurring.RecurringView.as_view(),
        name="workshop-recurring",
    ),
    path(
        "workshops/<int:pk>/recurring/units/",
        recurring.RecurringUnitsView.as_view(),
        name="workshop-recurring-units",
    ),
    *calculations.calculator_routes(),
    *router.urls,
]
