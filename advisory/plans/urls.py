"""Routes of the plans app, and the first page of all."""

from django.urls import URLPattern, URLResolver, path

from advisory.plans import bulletin_views, views

app_name = "plans"

urlpatterns: list[URLPattern | URLResolver] = [
    path("units/<int:pk>/", views.unit, name="unit"),
    path("units/<int:pk>/plan/<slug:work>/", views.item, name="item"),
    path("units/<int:pk>/plan/<slug:work>/done/", views.done, name="done"),
    path("units/<int:pk>/history/", views.history, name="history"),
    path("units/<int:pk>/booklet.pdf", views.booklet, name="booklet"),
    path("units/<int:pk>/what-if/", views.what_if, name="what_if"),
    path("organisations/<int:pk>/bulletins/", bulletin_views.bulletins, name="bulletins"),
    path("organisations/<int:pk>/bulletins/new/", bulletin_views.write, name="bulletin_new"),
    path("bulletins/<int:pk>/", bulletin_views.bulletin, name="bulletin"),
    path("bulletins/<int:pk>/edit/", bulletin_views.edit, name="bulletin_edit"),
    path("bulletins/<int:pk>/send/", bulletin_views.send, name="bulletin_send"),
    path("bulletins/<int:pk>/take-back/", bulletin_views.withdraw, name="bulletin_withdraw"),
    path("bulletins/<int:pk>/discard/", bulletin_views.discard, name="bulletin_discard"),
    path("bulletins/<int:pk>/read/", bulletin_views.read, name="bulletin_read"),
    path("bulletins/units/<int:pk>/done/", bulletin_views.done, name="bulletin_done"),
    path("plan/done/<int:pk>/take-back/", views.undo, name="take_back"),
]
