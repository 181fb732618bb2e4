"""Forms of the findings app."""

import json
from collections.abc import Collection
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Question, Refused
from advisory.findings.actions import LONGEST_TEXT, report_finding
from advisory.findings.forms.figure import FigureForm
from advisory.findings.forms.photos import PhotosForm
from advisory.findings.marks import DamageMark, marks_at
from advisory.findings.models import Finding
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.register.fields import ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.register.models import Position, Unit


class PositionChoice(forms.ModelChoiceField):  # type: ignore[type-arg]  # not at run time
    """The places of a unit, by name and what is there."""

    def label_from_instance(self, position: Position) -> str:
        """Say what is at a place where its name does not."""
        kind = position.get_kind_display()
        return position.name if kind.lower() in position.name.lower() else f"{position} ({kind})"


def mark_choices(kinds: Collection[str] | None = None) -> list[tuple[str, Any]]:
    """Offer none first, then the marks that are seen at positions of these kinds, or all."""
    marks = list(DamageMark) if kinds is None else marks_at(kinds)
    return [("", _("None of these")), *((mark.value, mark.label) for mark in marks)]


class ReportForm(FigureForm, PhotosForm, AnsweredForm):
    """What an owner saw; everything typed or chosen is kept when something is refused.

    A figure that is not believed is answered with the tick `confirm`, a reading with a button.
    """

    position = PositionChoice(
        label=gettext_lazy("Where"),
        queryset=Position.objects.none(),
        required=False,
        empty_label=gettext_lazy("Elsewhere, or I can't say"),
    )
    text = forms.CharField(
        label=gettext_lazy("What you saw"),
        help_text=gettext_lazy("As you would tell it on the telephone: what, since when, how bad."),
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 5}),
        error_messages={"required": gettext_lazy("Write what you saw, in your own words.")},
    )
    mark = forms.ChoiceField(
        label=gettext_lazy("What it looks like"),
        required=False,
        widget=forms.RadioSelect,
        error_messages={"invalid_choice": gettext_lazy("Choose a mark from the list, or none.")},
    )
    seen_on = forms.DateField(
        label=gettext_lazy("Seen on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": gettext_lazy("Write the day as year-month-day, 2024-05-31.")},
    )
    shown = ShownField(
        label=gettext_lazy("Odometer, as it stands there"), required=False, max_length=20
    )
    about = ("seen_on", "shown")

    def __init__(self, *args: Any, unit: Unit, by: Person, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "seen_on": today_of(by),
            "measurement_unit": by.small_length_unit,
            "client_key": uuid4().hex,
        } | kwargs.get("initial", {})
        super().__init__(*args, by=by, **kwargs)
        # a question was asked of the figure, so its answer is offered
        self.asks = False
        position = self.fields["position"]
        assert isinstance(position, PositionChoice)
        position.queryset = unit.design.positions.all()
        kinds = {str(pk): kind for pk, kind in position.queryset.values_list("pk", "kind")}
        position.widget.attrs["data-kinds"] = json.dumps(kinds)
        mark = self.fields["mark"]
        assert isinstance(mark, forms.ChoiceField)
        mark.choices = mark_choices()
        self.begin_photos(unit, by)

    def save(self) -> Finding | None:
        """Report it; None where it was refused, with the reason at its field."""
        data = self.cleaned_data
        try:
            return report_finding(
                unit=self.unit,
                by=self.by,
                text=data["text"],
                seen_on=data["seen_on"],
                position=data["position"],
                mark=data["mark"],
                value=data.get("value"),
                as_typed=data.get("as_typed", ""),
                shown=data["shown"],
                photos=self.chosen_photos,
                waiting=data["waiting"],
                client_key=data["client_key"],
                confirm=data["confirm"],
                confirm_shown=self.confirms,
                went_round=self.went_round,
            )
        except Refused as refused:
            self.refuse(refused)
            return None

    def refuse(self, refusal: Refused) -> None:
        """Say why at its field; a figure is answered with its tick."""
        if refusal.field == "measurement":
            self.asks = isinstance(refusal, Question)
            self.add_error(refusal.field, refusal.message)
        else:
            super().refuse(refusal)


class StateForm(forms.Form):
    """Which findings the inbox shows; what is no state shows all."""

    ALL = "all"

    state = forms.ChoiceField(label=gettext_lazy("Show"))

    def __init__(self, given: str | None, *, choices: list[tuple[str, Any]]) -> None:
        known = given if given in {value for value, _label in choices} else self.ALL
        super().__init__({"state": known})
        state = self.fields["state"]
        assert isinstance(state, forms.ChoiceField)
        state.choices = [(self.ALL, _("All")), *choices]

    @property
    def chosen(self) -> str:
        """The state to show, "" for all."""
        return "" if self.data["state"] == self.ALL else str(self.data["state"])
