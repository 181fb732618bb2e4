"""Routes of the lubrication app."""

from django.urls import URLPattern, URLResolver, path

from advisory.lubrication import views

app_name = "lubrication"

urlpatterns: list[URLPattern | URLResolver] = [
    path("units/<int:pk>/oil/", views.arrangement, name="arrangement"),
    path("units/<int:pk>/oil/new/", views.arrangement_new, name="arrangement_new"),
    path("units/<int:pk>/oil/advice/", views.advice, name="advice"),
    path("units/<int:pk>/oil/choice/", views.choice, name="choice"),
    path("units/<int:pk>/oil/pipe/", views.pipe, name="pipe"),
    path("units/<int:pk>/oil/services/", views.services, name="services"),
    path("units/oil/services/<int:pk>/strike/", views.strike, name="strike"),
    path("oils/", views.lubricants, name="lubricants"),
    path("oils/new/", views.lubricant_new, name="lubricant_new"),
    path("method/oil-change/", views.assumptions, name="assumptions"),
    path("method/oil-choice/", views.choice_figures, name="choice_figures"),
]
