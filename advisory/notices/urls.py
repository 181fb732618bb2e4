"""Routes of the notices app."""

from django.urls import URLPattern, URLResolver, path

from advisory.notices import views

app_name = "notices"

urlpatterns: list[URLPattern | URLResolver] = [
    path("messages/", views.messages_page, name="messages"),
    path("account/notices/", views.preferences, name="preferences"),
    path("account/calendar/", views.feeds, name="feeds"),
    path("unsubscribe/<str:secret>/", views.unsubscribe, name="unsubscribe"),
    path("calendar/<str:secret>.ics", views.feed, name="feed"),
]
