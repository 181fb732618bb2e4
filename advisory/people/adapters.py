"""How django-allauth is told our ways."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context as of_request
from django.contrib.sites.shortcuts import get_current_site
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from advisory.people.signals import letter_written

# the address here to which somebody comes back who had to sign in or up first
COME_BACK_TO = "come-back-to"


class AccountAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # allauth ships no types
    """Addresses are kept in lower case; everybody may sign up."""

    error_messages = DefaultAccountAdapter.error_messages | {
        "account_inactive": _("This account is closed."),
        "email_password_mismatch": _("Address and password don't belong together. Try again."),
        "enter_current_password": _("That is not the password of now."),
        "incorrect_code": _("That code is not right, or no longer. Enter the one shown now."),
        "incorrect_password": _("That is not the password. Try again."),
        "invalid_password_reset": _("This link no longer works. Ask for a new one."),
        "same_as_current": _("That is the one in use already. Enter another."),
        "too_many_login_attempts": _("Too many tries. Wait a few minutes, then try again."),
        "rate_limited": _("Too many tries. Wait a few minutes, then try again."),
    }

    def clean_email(self, email: str) -> str:
        """Keep the address as it is compared."""
        return str(super().clean_email(email)).lower()

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Write the letter and give it away to be sent: no page waits for a mail server."""
        request = of_request.request
        said = {"request": request, "email": email, "current_site": get_current_site(request)}
        message = self.render_mail(template_prefix, email, said | context)
        letter_written.send(sender=type(self), message=message)

    def populate_username(self, request: HttpRequest, user: Any) -> None:
        """Leave out: a person's name is the e-mail address."""

    def get_login_redirect_url(self, request: HttpRequest) -> str:
        """Lead whoever came with an invitation or a tag back to it."""
        if here := request.session.get(COME_BACK_TO):
            return str(here)
        return str(super().get_login_redirect_url(request))

    def get_signup_redirect_url(self, request: HttpRequest) -> str:
        """Go where a sign-in goes."""
        return self.get_login_redirect_url(request)
