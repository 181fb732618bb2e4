"""Routes of the notices app."""

from django.urls import URLPattern, URLResolver, path

from advisory.notices.views import account, from_mail, sendings, snoozes, webhooks

app_name = "notices"

urlpatterns: list[URLPattern | URLResolver] = [
    path("messages/", account.messages_page, name="messages"),
    path("account/notices/", account.preferences, name="preferences"),
    path("account/sent/", sendings.sendings, name="sendings"),
    path("account/calendar/", account.feeds, name="feeds"),
    path("unsubscribe/<str:secret>/", account.unsubscribe, name="unsubscribe"),
    path("units/<int:pk>/plan/<str:work>/later/", snoozes.later, name="later"),
    path("snoozes/<int:pk>/lift/", snoozes.lift, name="lift"),
    path("from-mail/<str:secret>/done/", from_mail.done, name="done"),
    path("from-mail/<str:secret>/later/", from_mail.later, name="later_by_mail"),
    path("from-mail/<str:secret>/reading/", from_mail.reading, name="reading"),
    path("from-mail/<str:secret>/finding/", from_mail.finding, name="finding"),
    path("organisations/<int:pk>/system/", webhooks.system, name="system"),
    path("organisations/<int:pk>/system/secret/", webhooks.secret, name="system_secret"),
    path("organisations/<int:pk>/system/stop/", webhooks.stop, name="system_stop"),
    path("organisations/<int:pk>/system/trial/", webhooks.trial, name="system_trial"),
    path("webhook-messages/<int:pk>/again/", webhooks.again, name="webhook_again"),
    path("calendar/<str:secret>.ics", account.feed, name="feed"),
]
