"""Routes of the plans app, and the first page of all."""

from django.urls import URLPattern, URLResolver, path

from advisory.plans import views

app_name = "plans"

urlpatterns: list[URLPattern | URLResolver] = [
    path("units/<int:pk>/", views.unit, name="unit"),
    path("units/<int:pk>/plan/<slug:work>/", views.item, name="item"),
    path("units/<int:pk>/plan/<slug:work>/done/", views.done, name="done"),
    path("units/<int:pk>/history/", views.history, name="history"),
    path("units/<int:pk>/booklet.pdf", views.booklet, name="booklet"),
    path("units/<int:pk>/what-if/", views.what_if, name="what_if"),
    path("plan/done/<int:pk>/take-back/", views.undo, name="take_back"),
]
