"""Routes of the plans app, and the first page of all."""

from django.urls import URLPattern, URLResolver, path

from advisory.plans.views import bulletins, plans

app_name = "plans"

urlpatterns: list[URLPattern | URLResolver] = [
    path("units/<int:pk>/", plans.unit, name="unit"),
    path("units/<int:pk>/plan/<slug:work>/", plans.item, name="item"),
    path("units/<int:pk>/plan/<slug:work>/done/", plans.done, name="done"),
    path("units/<int:pk>/history/", plans.history, name="history"),
    path("units/<int:pk>/booklet.pdf", plans.booklet, name="booklet"),
    path("units/<int:pk>/what-if/", plans.what_if, name="what_if"),
    path("organisations/<int:pk>/bulletins/", bulletins.bulletins, name="bulletins"),
    path("organisations/<int:pk>/bulletins/new/", bulletins.write, name="bulletin_new"),
    path("bulletins/<int:pk>/", bulletins.bulletin, name="bulletin"),
    path("bulletins/<int:pk>/edit/", bulletins.edit, name="bulletin_edit"),
    path("bulletins/<int:pk>/send/", bulletins.send, name="bulletin_send"),
    path("bulletins/<int:pk>/take-back/", bulletins.withdraw, name="bulletin_withdraw"),
    path("bulletins/<int:pk>/discard/", bulletins.discard, name="bulletin_discard"),
    path("bulletins/<int:pk>/read/", bulletins.read, name="bulletin_read"),
    path("bulletins/units/<int:pk>/done/", bulletins.done, name="bulletin_done"),
    path("plan/done/<int:pk>/take-back/", plans.undo, name="take_back"),
]
