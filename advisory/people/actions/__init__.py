"""Every change of accounts, organisations, memberships, invitations and consents."""

from advisory.people.actions.accounts import (
    add_person,
    close_account,
    create_token,
    open_account,
    revoke_token,
    set_preferences,
)
from advisory.people.actions.consents import give_consent, withdraw_consent
from advisory.people.actions.invitations import (
    accept_invitation,
    invite_member,
    withdraw_invitation,
)
from advisory.people.actions.memberships import change_role, remove_member
from advisory.people.actions.organisations import change_organisation, create_organisation

__all__ = [
    "accept_invitation",
    "add_person",
    "change_organisation",
    "change_role",
    "close_account",
    "create_organisation",
    "create_token",
    "give_consent",
    "invite_member",
    "open_account",
    "remove_member",
    "revoke_token",
    "set_preferences",
    "withdraw_consent",
    "withdraw_invitation",
]
