"""Routes of the register app."""

from django.urls import path

from advisory.register.views import (
    builds,
    cars,
    design_writing,
    designs,
    hand_overs,
    photos,
    records,
    sheets,
    units,
    workshop,
)

app_name = "register"

urlpatterns = [
    path("units/new/", units.unit_new, name="unit_new"),
    path("units/<int:pk>/edit/", units.unit_edit, name="unit_edit"),
    path("units/<int:pk>/car/", units.fit, name="fit"),
    path("units/<int:pk>/hand-over/", hand_overs.hand_over, name="hand_over"),
    path("units/<int:pk>/hand-over/tag/", hand_overs.tag, name="tag"),
    path("units/<int:pk>/hand-over/take-back/", hand_overs.take_back, name="take_back_offer"),
    path("claim/", hand_overs.claim_code, name="claim_code"),
    path("claim/<str:code>/", hand_overs.claim, name="claim"),
    path("units/<int:pk>/builds/new/", builds.build_new, name="build_new"),
    path("builds/<int:pk>/", builds.build, name="build"),
    path("builds/<int:pk>/sign/", builds.sign, name="build_sign"),
    path("builds/<int:pk>/entry/", sheets.entry, name="build_entry"),
    path("builds/<int:pk>/others/", sheets.others, name="build_others"),
    path("builds/<int:pk>/photos/", photos.photos, name="build_photos"),
    path("builds/photos/<int:pk>/", photos.photo, name="build_photo"),
    path("builds/<int:pk>/correct/", builds.correct, name="build_correct"),
    path("cars/new/", cars.car_new, name="car_new"),
    path("cars/<int:pk>/edit/", cars.car_edit, name="car_edit"),
    path("designs/", designs.designs, name="designs"),
    path("designs/new/", design_writing.design_new, name="design_new"),
    path("designs/<int:pk>/", designs.design, name="design"),
    path("designs/<int:pk>/edit/", design_writing.design_edit, name="design_edit"),
    path("designs/<int:pk>/dismantling/", design_writing.dismantling, name="dismantling"),
    path("workshops/<int:pk>/units/", workshop.workshop_units, name="workshop_units"),
    path("workshops/<int:pk>/units/new/", workshop.workshop_unit_new, name="workshop_unit_new"),
    path("workshops/<int:pk>/units/take-on/", hand_overs.take_on, name="take_on"),
    path("workshops/<int:pk>/records/", records.records, name="records"),
    path("workshops/<int:pk>/practice/", workshop.practice, name="practice"),
]
