"""Which designs and years are asked for, and what a workshop does about a unit."""

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.errors import Refused
from advisory.notices.enums import FollowReason
from advisory.notices.models import FollowUp
from advisory.people.forms import RefusableForm
from advisory.people.models import Person
from advisory.register.models import Unit
from advisory.reports.actions.follow_ups import (
    LONGEST_NOTE,
    log_call,
    set_aside,
    write_to_owner,
)
from advisory.reports.enums import Period
from advisory.reports.figures import ALL
from advisory.reports.shown.words import choice_words


class ChoiceForm(forms.Form):
    """The choices that a report offers; anything else that is asked for means all."""

    designs = forms.ChoiceField(label=_("Designs"))
    years = forms.ChoiceField(label=_("Years"), choices=Period.choices)

    def __init__(self, *args: Any, about: Mapping[str, Any], **kwargs: Any) -> None:
        """Offer the designs that the report tells of."""
        super().__init__(*args, **kwargs)
        self.offered = {each["key"]: each for each in about.get("choices", [])}
        field = self.fields["designs"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(key, choice_words(each)) for key, each in self.offered.items()]

    @classmethod
    def of(cls, asked: Mapping[str, Any], about: Mapping[str, Any]) -> "ChoiceForm":
        """Fill the form with what is asked for, all designs and years where nothing is."""
        form = cls(
            {"designs": asked.get("designs", ALL), "years": asked.get("years", Period.ALL.value)},
            about=about,
        )
        form.is_valid()
        return form

    @property
    def choice(self) -> Mapping[str, str]:
        """The designs chosen."""
        key = self.cleaned_data.get("designs") or ALL
        chosen: Mapping[str, str] = self.offered.get(key, {"key": ALL, "label": ""})
        return chosen

    @property
    def period(self) -> Period:
        """The years chosen."""
        return Period(self.cleaned_data.get("years") or Period.ALL)

    @property
    def code(self) -> str:
        """Both in one word, as parts of a report are called."""
        return f"{self.choice['key']}.{self.period.value}"

    @property
    def as_query(self) -> str:
        """Both as they stand in an address."""
        return urlencode({"designs": self.choice["key"], "years": self.period.value})


class BesideForm(ChoiceForm):
    """Two choices to be held against each other."""

    other_designs = forms.ChoiceField(label=_("Beside: designs"))
    other_years = forms.ChoiceField(label=_("Beside: years"), choices=Period.choices)

    def __init__(self, *args: Any, about: Mapping[str, Any], **kwargs: Any) -> None:
        """Offer the same designs twice."""
        super().__init__(*args, about=about, **kwargs)
        one, other = self.fields["designs"], self.fields["other_designs"]
        assert isinstance(one, forms.ChoiceField)
        assert isinstance(other, forms.ChoiceField)
        other.choices = one.choices

    @classmethod
    def of(cls, asked: Mapping[str, Any], about: Mapping[str, Any]) -> "BesideForm":
        """Fill the form; without a second choice that is all designs, or the first that is not."""
        designs = asked.get("designs", ALL)
        keys = [each["key"] for each in about.get("choices", [])]
        other = next((key for key in [ALL, *reversed(keys)] if key != designs), ALL)
        years = asked.get("years", Period.ALL.value)
        form = cls(
            {
                "designs": designs,
                "years": years,
                "other_designs": asked.get("other_designs", other),
                "other_years": asked.get("other_years", years),
            },
            about=about,
        )
        form.is_valid()
        return form

    @property
    def both(self) -> tuple[dict[str, Any], dict[str, Any]]:
        """The two choices, each as `ChoiceForm` takes it."""
        data = self.cleaned_data
        return (
            {"designs": data.get("designs") or ALL, "years": data.get("years") or Period.ALL},
            {
                "designs": data.get("other_designs") or ALL,
                "years": data.get("other_years") or Period.ALL,
            },
        )


class YearsForm(forms.Form):
    """Over which years findings are counted; anything else that is asked for means all."""

    years = forms.ChoiceField(label=_("Years"), choices=Period.choices, required=False)

    @classmethod
    def of(cls, asked: Mapping[str, Any]) -> "YearsForm":
        """Fill the form with what is asked for."""
        years = asked.get("years", "")
        form = cls({"years": years if years in Period else Period.ALL.value})
        form.is_valid()
        return form

    @property
    def period(self) -> Period:
        """The years chosen."""
        return Period(self.cleaned_data["years"])


class NarrowForm(forms.Form):
    """Which of the units that need a word are listed; what it doesn't know means all."""

    reason = forms.ChoiceField(
        label=_("Because of"), choices=[("", _("anything")), *FollowReason.choices], required=False
    )
    resting = forms.BooleanField(label=_("Only those told of, or set aside"), required=False)

    @property
    def asked(self) -> tuple[FollowReason | None, bool]:
        """The reason, if one is asked for, and whether those that rest are."""
        if not self.is_bound:
            return None, False
        self.is_valid()
        reason = self.cleaned_data.get("reason")
        return FollowReason(reason) if reason else None, bool(self.cleaned_data.get("resting"))


class FollowForm(RefusableForm):
    """What is done about a unit: a letter, a call, or set aside until a day."""

    WRITE, CALL, ASIDE = "write", "call", "aside"

    do = forms.ChoiceField(
        choices=[(WRITE, ""), (CALL, ""), (ASIDE, "")],
        error_messages={"required": _("Choose what to do."), "invalid_choice": _("Choose again.")},
    )
    until = forms.DateField(
        label=_("Until"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Enter a day, such as 2026-05-31.")},
    )
    note = forms.CharField(
        label=_("Note"),
        required=False,
        max_length=LONGEST_NOTE,
        help_text=_("What was said, or why it is set aside. The unit's owner may read it."),
    )
    client_key = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        """Ask for a day where there must be one."""
        data = super().clean() or {}
        if data.get("do") == self.ASIDE and not data.get("until") and "until" not in self.errors:
            self.add_error("until", _("Enter the day on which it is to stand here again."))
        return data

    def save(self, *, unit: Unit, by: Person) -> list[FollowUp] | None:
        """Do it; None where it was refused, which then stands at its field."""
        data = self.cleaned_data
        kept = {"note": data["note"], "client_key": data["client_key"]}
        try:
            if data["do"] == self.WRITE:
                return write_to_owner(unit=unit, by=by)
            if data["do"] == self.CALL:
                return log_call(unit=unit, by=by, **kept)
            return set_aside(unit=unit, by=by, until=data["until"], **kept)
        except Refused as refused:
            self.refuse(refused)
            return None
