"""Forms of the plans app."""

from typing import Any

from django import forms

from advisory.common.errors import Refused
from advisory.common.fields import QuantityField
from advisory.lubrication.forms import OilWorkForm
from advisory.lubrication.queries import OilInUnit
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.plans.actions import mark_done
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.work import Work
from advisory.register.models import Unit


class DoneForm(OilWorkForm):
    """What was done, when, at which number; filled in where it is known, so that one tap does."""

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
        self.offer_oils(unit, by, today)

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
