"""Routes of the people app."""

from django.urls import path

from advisory.people.views import account, consents, invitations, organisations

app_name = "people"

urlpatterns = [
    path("account/", account.overview, name="account"),
    path("account/preferences/", account.preferences, name="preferences"),
    path("account/token/", account.token, name="token"),
    path("account/consents/", consents.consents, name="consents"),
    path("account/consents/<int:pk>/withdraw/", consents.withdraw, name="consent_withdraw"),
    path("organisations/new/", organisations.new, name="organisation_new"),
    path("organisations/<int:pk>/", organisations.organisation, name="organisation"),
    path("organisations/<int:pk>/edit/", organisations.edit, name="organisation_edit"),
    path("organisations/<int:pk>/invite/", invitations.invite, name="invite"),
    path("members/<int:pk>/role/", organisations.role, name="member_role"),
    path("members/<int:pk>/remove/", organisations.remove, name="member_remove"),
    path("invitations/<str:token>/", invitations.invitation, name="invitation"),
    path("invitations/<int:pk>/withdraw/", invitations.withdraw, name="invitation_withdraw"),
]
