"""The forms around signing in, as django-allauth has them, in our words and our order."""

from typing import Any

from allauth.account.forms import AddEmailForm, LoginForm, ResetPasswordForm, SignupForm
from django import forms
from django.utils.translation import gettext_lazy as _

ADDRESS = _("E-mail address")
WHOLE_ADDRESS = _("Enter the whole address, such as name@example.org.")
GOOD_PASSWORD = _(
    "At least ten characters; three or four words that don't belong together do well."
)


def in_our_words(form: forms.Form) -> None:
    """Call an address the same everywhere, also in the list of what is to be put right."""
    for name in {"email", "login"} & set(form.fields):
        form.fields[name].label = ADDRESS
        form.fields[name].error_messages["invalid"] = WHOLE_ADDRESS


class SignUp(SignupForm):  # type: ignore[misc]  # allauth ships no types
    """Making an account."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_our_words(self)
        self.fields["password1"].help_text = GOOD_PASSWORD
        self.order_fields(["name", "email", "password1"])


class SignIn(LoginForm):  # type: ignore[misc]
    """Signing in."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_our_words(self)


class LostPassword(ResetPasswordForm):  # type: ignore[misc]
    """Asking for the letter that opens the way to a new password."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_our_words(self)


class AnotherAddress(AddEmailForm):  # type: ignore[misc]
    """Changing the address."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_our_words(self)
