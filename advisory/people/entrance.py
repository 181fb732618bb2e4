"""The forms around signing in, as django-allauth has them, in our words and our order."""

import hashlib
import string
from typing import Any

from allauth.account.forms import AddEmailForm, LoginForm, ResetPasswordForm, SignupForm
from allauth.mfa import app_settings
from allauth.mfa.adapter import get_adapter
from allauth.mfa.base.forms import AuthenticateForm, ReauthenticateForm
from allauth.mfa.totp.forms import ActivateTOTPForm
from django import forms
from django.core.cache import cache
from django.utils.translation import gettext_lazy as _

ADDRESS = _("E-mail address")
WHOLE_ADDRESS = _("Enter the whole address, such as name@example.org.")
GOOD_PASSWORD = _(
    "At least ten characters; three or four words that don't belong together do well."
)
BETWEEN_DIGITS = str.maketrans("", "", string.punctuation + string.whitespace)


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


class CodeCountsOnce:
    """Refuse a code that was accepted already, for as long as it could be accepted again.

    RFC 6238, section 5.2: no second attempt with a code that has counted. allauth remembers it
    for one step of the clock, but with a tolerance a code is good in several.
    """

    def clean_code(self) -> str:
        """Check the code as allauth does, after what was spent."""
        typed: str = self.cleaned_data["code"].translate(BETWEEN_DIGITS)  # type: ignore[attr-defined]
        said = hashlib.sha256(typed.encode()).hexdigest()
        spent = f"people.code-spent:{self.user.pk}:{said}"  # type: ignore[attr-defined]
        if cache.get(spent):
            raise get_adapter().validation_error("incorrect_code")
        code: str = super().clean_code()  # type: ignore[misc]
        steps = 1 + 2 * app_settings.TOTP_TOLERANCE
        cache.set(spent, True, timeout=steps * app_settings.TOTP_PERIOD)
        return code


class SecondStep(CodeCountsOnce, AuthenticateForm):  # type: ignore[misc]
    """The code after the password."""


class SecondStepAgain(CodeCountsOnce, ReauthenticateForm):  # type: ignore[misc]
    """The code once more, before something that asks for it."""


class SecondStepTurnedOn(CodeCountsOnce, ActivateTOTPForm):  # type: ignore[misc]
    """The code that shows that the app has the secret."""
