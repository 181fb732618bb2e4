"""Forms of the plans app."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.errors import Question, Refused
from advisory.common.fields import QuantityField
from advisory.common.quantities import VOLUME, unit_for
from advisory.lubrication.models import Lubricant
from advisory.lubrication.queries import OilInUnit, lubricants_for
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.plans.actions import mark_done
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.work import Work
from advisory.register.models import Unit
from advisory.usage.shown import NotANumber, read_shown


class DoneForm(forms.Form):
    """What was done, when, at which number; filled in where it is known, so that one tap does."""

    use_required_attribute = False

    date = forms.DateField(
        label=_("Done on"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": _("Write the day as year-month-day, 2024-05-31.")},
    )
    shown = forms.CharField(
        label=_("Odometer, as it stands there"),
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    lubricant = forms.ModelChoiceField(
        label=_("Oil that went in"),
        queryset=Lubricant.objects.none(),
        required=False,
        empty_label=_("I can't say"),
    )
    volume = QuantityField(
        label=_("How much went in"), dimension=VOLUME, unit="litre", required=False
    )
    note = forms.CharField(
        label=_("What you saw"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    confirm = forms.BooleanField(label=_("It is right as I typed it"), required=False)
    cycle = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        *args: Any,
        unit: Unit,
        item: PlanItem,
        work: Work,
        oil: OilInUnit,
        by: Person,
        **kwargs: Any,
    ) -> None:
        today = today_of(by)
        chosen = lubricants_for(by, unit, today)
        wanted = oil.lubricant or oil.prescribed
        kwargs["initial"] = {
            "date": today,
            "cycle": item.cycle,
            "volume": oil.sump_volume,
            "lubricant": wanted if wanted is None else wanted.pk,
        }
        super().__init__(*args, **kwargs)
        self.unit, self.work, self.by = unit, work, by
        # a question was asked, so that its answer is offered
        self.asks = False
        if work.oil_service is None:
            del self.fields["lubricant"]
            del self.fields["volume"]
            return
        lubricant, volume = self.fields["lubricant"], self.fields["volume"]
        assert isinstance(lubricant, forms.ModelChoiceField)
        assert isinstance(volume, QuantityField)
        lubricant.queryset = chosen
        volume.unit = unit_for("volume", preferences_of(by))[0]

    @property
    def volume_unit(self) -> str:
        """The unit beside the amount."""
        field = self.fields.get("volume")
        return field.unit_words if isinstance(field, QuantityField) else ""

    def clean_shown(self) -> int | None:
        """Read the odometer's number as people write it."""
        text = self.cleaned_data["shown"]
        if not text:
            return None
        try:
            return read_shown(text)
        except NotANumber as error:
            raise forms.ValidationError(error.message) from error

    def save(self) -> WorkDone | None:
        """Write it down; None where it was refused, with the reason at its field."""
        data = self.cleaned_data
        try:
            return mark_done(
                unit=self.unit,
                work=self.work.kind,
                date=data["date"],
                by=self.by,
                shown=data["shown"],
                note=data["note"],
                lubricant=data.get("lubricant"),
                volume=data.get("volume"),
                cycle=data["cycle"],
                confirm=data["confirm"],
            )
        except Question as question:
            self.asks = True
            self.add_error(self._place(question), question.message)
        except Refused as refused:
            self.add_error(self._place(refused), refused.message)
        return None

    def _place(self, refused: Refused) -> str | None:
        return refused.field if refused.field in self.fields else None
