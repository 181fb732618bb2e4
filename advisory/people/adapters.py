"""How django-allauth is told our ways."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class AccountAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # allauth ships no types
    """Addresses are kept in lower case; everybody may sign up."""

    def clean_email(self, email: str) -> str:
        """Keep the address as it is compared."""
        return str(super().clean_email(email)).lower()

    def populate_username(self, request: HttpRequest, user: Any) -> None:
        """Leave out: a person's name is the e-mail address."""
