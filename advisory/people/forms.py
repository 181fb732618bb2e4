"""Forms of the people app."""

from typing import Any

from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _


class SignupForm(forms.Form):
    """What is asked besides e-mail and password."""

    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )

    def signup(self, request: HttpRequest, user: Any) -> None:
        """Keep the name on the new person."""
        user.name = self.cleaned_data["name"]
        user.save(update_fields=["name"])
