"""All routes. Each app's own stand in its urls.py and say their full path."""

from django.contrib import admin
from django.urls import include, path

from advisory.plans.views.plans import home

urlpatterns = [
    path("", home, name="home"),
    path("", include("advisory.plans.urls")),
    path("", include("advisory.findings.urls")),
    path("", include("advisory.lubrication.urls")),
    path("", include("advisory.usage.urls")),
    path("", include("advisory.register.urls")),
    path("", include("advisory.people.urls")),
    path("", include("advisory.notices.urls")),
    path("", include("advisory.reports.urls")),
    path("", include("advisory.common.urls")),
    path("", include("advisory.config.watch.urls")),
    path("api/", include("api.urls")),
    path("account/", include("allauth.urls")),
    path("admin/", admin.site.urls),
]

handler400 = "advisory.config.failures.bad_request"
handler404 = "advisory.config.failures.not_found"
handler500 = "advisory.config.failures.server_error"
