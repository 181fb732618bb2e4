"""Forms of the plans app."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.errors import Refused
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
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.register.models import Unit


class DoneForm(AnsweredForm):
    """What was done, when, at which number; filled in where it is known, so that one tap does."""

    date = PastDateField(label=_("Done on"))
    shown = ShownField(
        label=_("Odometer, as it stands there"),
        required=False,
        max_length=20,
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
    cycle = forms.IntegerField(widget=forms.HiddenInput, required=False)
    about = ("date", "shown", "volume")

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
        super().__init__(*args, by=by, **kwargs)
        self.unit, self.work, self.by = unit, work, by
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
                confirm=self.confirms,
                went_round=self.went_round,
            )
        except Refused as refused:
            self.refuse(refused)
        return None
