"""Forms of the plans app."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Refused
from advisory.common.fields import QuantityField
from advisory.common.quantities import LENGTH, VOLUME, Kind, unit_for
from advisory.lubrication.forms import OilWorkForm
from advisory.lubrication.forms.asked import Asked, AskedForm
from advisory.lubrication.queries import OilInUnit, lubricants_for
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.plans.actions import mark_done
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.models.bulletins import BulletinUnit
from advisory.plans.what_if import FILTERS, Otherwise
from advisory.plans.work import Work
from advisory.register.enums import Roads
from advisory.register.forms.cars import SHORT_RUNS
from advisory.register.models import Unit
from advisory.usage.supposed import Driven
from advisory.usage.use import UnitUse


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
        bulletin: BulletinUnit | None = None,
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
        self.unit, self.work, self.by, self.bulletin = unit, work, by, bulletin
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
                bulletin=self.bulletin,
            )
        except Refused as refused:
            self.refuse(refused)
        return None


_SUMP = Asked(
    gettext_lazy("It holds"),
    VOLUME,
    ("litre", "imperial_pint"),
    1e-5,
    0.5,
    gettext_lazy("Give a volume above nothing, to %(most)s %(unit)s."),
)
_ANNUAL = Asked(
    gettext_lazy("Driven in a year"),
    LENGTH,
    ("km", "mile"),
    1e3,
    2e8,
    gettext_lazy("Give a yearly distance from %(least)s to %(most)s %(unit)s."),
)


class WhatIfForm(AskedForm):
    """What if it had another filter, sump or oil, or its car were driven otherwise."""

    quantities: ClassVar[Mapping[str, Asked]] = {"sump": _SUMP, "annual": _ANNUAL}
    filtration = forms.ChoiceField(label=gettext_lazy("Filter"), required=False)
    oil = forms.ChoiceField(label=gettext_lazy("Oil"), required=False)
    roads = forms.ChoiceField(label=gettext_lazy("Driven on"), required=False)
    short_runs = forms.ChoiceField(
        label=gettext_lazy("Runs too short to warm the oil through"), required=False
    )

    def __init__(
        self, typed: Mapping[str, str], *, unit: Unit, oil: OilInUnit, use: UnitUse, by: Person
    ) -> None:
        car = None if use.current is None else use.current.car
        self.oils = {str(row.pk): row for row in lubricants_for(by, unit, today_of(by))}
        known: dict[str, Any] = {
            "filtration": oil.filtration.value,
            "oil": "" if oil.lubricant is None else str(oil.lubricant.pk),
            "sump": oil.sump_volume,
        }
        if car is not None and use.current is not None:
            known |= {
                "roads": car.roads,
                "short_runs": f"{car.short_run_share:g}",
                "annual": use.current.annual_distance(today_of(by)),
            }
        self.known = known
        super().__init__(typed, prefs=preferences_of(by), known=known)
        as_now = [("", _("As it is now"))]
        shares = {f"{float(share):g}": str(words) for share, words in SHORT_RUNS}
        if (told := known.get("short_runs")) not in {None, *shares}:
            shares[str(told)] = _("%(share)d %%") % {"share": float(str(told)) * 100}
        for name, choices in (
            ("filtration", [*as_now, *FILTERS]),
            ("oil", [*as_now, *((key, str(row)) for key, row in self.oils.items())]),
            ("roads", [*as_now, *Roads.choices]),
            ("short_runs", [*as_now, *shares.items()]),
        ):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = choices
            if known.get(name) not in dict(choices):
                field.initial = ""
        if car is None:
            for name in ("roads", "short_runs", "annual", "annual_unit"):
                del self.fields[name]

    def _usual(self, asked: Asked) -> str:
        kind: Kind = "volume" if asked.dimension == VOLUME else "distance"
        return unit_for(kind, self.prefs)[0]

    @property
    def otherwise(self) -> Otherwise:
        """What is supposed, as far as it differs from what is known."""
        asked = self.asked

        def differing(name: str) -> Any:
            value = asked.get(name)
            return None if value in (None, "") or value == self.known.get(name) else value

        def figure(name: str) -> float | None:
            value, is_known = asked.get(name), self.known.get(name)
            # what was shown rounded and came back as it was is no supposition
            same = value is None or (is_known is not None and abs(value / is_known - 1.0) < 1e-3)
            return None if same else value

        share, oil = differing("short_runs"), differing("oil")
        return Otherwise(
            filtration=differing("filtration"),
            sump_volume=figure("sump"),
            lubricant=None if oil is None else self.oils[oil],
            driven=Driven(
                annual_distance=figure("annual"),
                roads=differing("roads"),
                short_run_share=None if share is None else float(share),
            ),
        )
