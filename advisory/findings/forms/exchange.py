"""Forms of the exchange: the workshop's answer and closing, what the owner says to it."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Question, Refused
from advisory.findings.actions import (
    LONGEST_TEXT,
    Measure,
    Offer,
    answer_finding,
    bring_measurement,
    close_finding,
    set_answering_aim,
    write_back,
)
from advisory.findings.actions.answering import way_field
from advisory.findings.enums import Cause, Currency, Instruction, PartOrigin
from advisory.findings.forms.figure import FigureForm
from advisory.findings.forms.photos import PhotosForm
from advisory.findings.models import Answer, AskedMeasurement, Finding, Way
from advisory.findings.queries import quantity_at
from advisory.people.clock import today_of
from advisory.people.forms import RefusableForm
from advisory.people.models import Organisation, Person
from advisory.register.fields import PastDateField
from advisory.register.models import Position

WAYS_ON_PAGE = 3
PARTS = ("text", "price", "days", "part")


class AnswerForm(PhotosForm, RefusableForm):
    """What the workshop says to a finding: words, and what hangs on them."""

    text = forms.CharField(
        label=gettext_lazy("Your answer"),
        help_text=gettext_lazy(
            "What it may be, what to do next, and what must not be done until then."
        ),
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 6}),
        error_messages={"required": gettext_lazy("Write the answer that the owner is to read.")},
    )
    instruction = forms.ChoiceField(
        label=gettext_lazy("What the owner is to do at once"),
        help_text=gettext_lazy(
            "It stands on their pages, with its caution, until you say another or close this."
        ),
        required=False,
    )
    asks = forms.BooleanField(
        label=gettext_lazy("I ask something: the owner answers before I can say more"),
        required=False,
    )
    measure_at = forms.ModelChoiceField(
        label=gettext_lazy("One more measurement, at"),
        queryset=Position.objects.none(),
        required=False,
        empty_label=gettext_lazy("None is needed"),
    )
    measure_how = forms.CharField(
        label=gettext_lazy("How to take it"),
        help_text=gettext_lazy("With which gauge, from where to where, cold or warm."),
        max_length=500,
        required=False,
    )
    currency = forms.ChoiceField(
        label=gettext_lazy("Prices in"), choices=Currency.choices, required=False
    )

    def __init__(self, *args: Any, finding: Finding, by: Person, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "client_key": uuid4().hex,
            "currency": _last_currency(finding),
        } | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.finding = self.answers = finding
        self.begin_photos(finding.unit, by)
        instruction, at = self.fields["instruction"], self.fields["measure_at"]
        assert isinstance(instruction, forms.ChoiceField)
        assert isinstance(at, forms.ModelChoiceField)
        instruction.choices = [("", _("Nothing besides what I wrote")), *_instructions(finding)]
        positions = finding.unit.design.positions.order_by("order")
        keys = [position.pk for position in positions if quantity_at(position)]
        at.queryset = positions.filter(pk__in=keys)
        for number in range(1, WAYS_ON_PAGE + 1):
            self.fields |= _way_fields(number)

    @property
    def ways(self) -> list[dict[str, BoundField]]:
        """The fields of each way to put it right."""
        return [
            {part: self[way_field(number, part)] for part in PARTS}
            for number in range(1, WAYS_ON_PAGE + 1)
        ]

    @property
    def offers_ways(self) -> bool:
        """Whether anything of a way was written, so that its fields stay open."""
        return any(True for _number in self._written())

    @property
    def asks_to_measure(self) -> bool:
        """Whether a measurement is asked for, so that its fields stay open."""
        return bool(self["asks"].value() or self["measure_at"].value())

    def _written(self) -> Iterator[int]:
        for number in range(1, WAYS_ON_PAGE + 1):
            if any(self[way_field(number, part)].value() for part in ("text", "price", "days")):
                yield number

    def clean(self) -> dict[str, Any]:
        """Ask for what is missing of a way that was begun."""
        data = super().clean() or {}
        for number in self._written():
            for part in PARTS:
                field = way_field(number, part)
                if data.get(field) in (None, "") and field not in self.errors:
                    self.add_error(field, _("Fill this in, or leave the whole way empty."))
        return data

    def save(self) -> Answer | None:
        """Answer; None where it was refused, with the reason at its field."""
        data, written = self.cleaned_data, list(self._written())
        at = data["measure_at"]
        try:
            return answer_finding(
                finding=self.finding,
                by=self.by,
                text=data["text"],
                asks=data["asks"],
                measure=Measure(position=at, how=data["measure_how"]) if at else None,
                instruction=data["instruction"],
                ways=self._offers(written),
                photos=self.chosen_photos,
                waiting=data["waiting"],
                client_key=data["client_key"],
            )
        except Refused as refused:
            self.refuse(_at_its_row(refused, written))
            return None

    def _offers(self, written: Sequence[int]) -> list[Offer]:
        data = self.cleaned_data
        return [
            Offer(
                text=data[way_field(number, "text")],
                part=PartOrigin(data[way_field(number, "part")]),
                price=data[way_field(number, "price")],
                currency=Currency(data["currency"] or _last_currency(self.finding)),
                days=data[way_field(number, "days")],
            )
            for number in written
        ]


def _at_its_row(refused: Refused, written: Sequence[int]) -> Refused:
    """Name the field by its row on the page, where rows before it are empty."""
    for number, row in enumerate(written, start=1):
        for part in PARTS:
            if refused.field == way_field(number, part):
                return Refused(refused.message, field=way_field(row, part), code=refused.code)
    return refused


def _instructions(finding: Finding) -> list[tuple[str, Any]]:
    return [
        (one.value, one.label)
        for one in Instruction
        if one != Instruction.LIFTED or finding.instruction
    ]


def _last_currency(finding: Finding) -> str:
    """Return that in which the workshop wrote last."""
    rows = Way.objects.filter(finding__unit__workshop=finding.unit.workshop_id)
    return rows.order_by("-pk").values_list("currency", flat=True).first() or Currency.GBP


def _way_fields(number: int) -> dict[str, forms.Field]:
    return {
        way_field(number, "text"): forms.CharField(
            label=_("What is done"), max_length=500, required=False
        ),
        way_field(number, "price"): forms.DecimalField(
            label=_("Price"),
            max_digits=9,
            decimal_places=2,
            min_value=Decimal(0),
            required=False,
            error_messages={"invalid": _("Write the price as a number, such as 380 or 380.50.")},
        ),
        way_field(number, "days"): forms.IntegerField(
            label=_("Days there"),
            min_value=0,
            max_value=999,
            required=False,
            error_messages={"invalid": _("Write the days as a whole number.")},
        ),
        way_field(number, "part"): forms.ChoiceField(
            label=_("The part"), choices=PartOrigin.choices, required=False
        ),
    }


class WriteBackForm(PhotosForm, RefusableForm):
    """What the owner says besides: words, photos or both."""

    text = forms.CharField(
        label=gettext_lazy("What you want to say"),
        max_length=LONGEST_TEXT,
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
    )

    def __init__(self, *args: Any, finding: Finding, by: Person, **kwargs: Any) -> None:
        kwargs["initial"] = {"client_key": uuid4().hex} | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.finding = finding
        self.begin_photos(finding.unit, by)

    def save(self) -> Answer | None:
        """Write back; None where it was refused, with the reason at its field."""
        data = self.cleaned_data
        try:
            return write_back(
                finding=self.finding,
                by=self.by,
                text=data["text"],
                photos=self.chosen_photos,
                waiting=data["waiting"],
                client_key=data["client_key"],
            )
        except Refused as refused:
            self.refuse(refused)
            return None


class BringForm(FigureForm, RefusableForm):
    """The value that the workshop asked for."""

    measured_on = PastDateField(label=gettext_lazy("Measured on"))
    text = forms.CharField(
        label=gettext_lazy("Anything to say with it"),
        max_length=LONGEST_TEXT,
        required=False,
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, asked: AskedMeasurement, by: Person, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "measured_on": today_of(by),
            "measurement_unit": by.small_length_unit,
        } | kwargs.get("initial", {})
        super().__init__(*args, **kwargs)
        self.asked, self.by = asked, by
        self.asks = False
        self.fields["measurement"].required = True

    def save(self) -> Answer | None:
        """Bring it; None where it was refused, with the reason at its field."""
        data = self.cleaned_data
        try:
            return bring_measurement(
                asked=self.asked,
                by=self.by,
                value=data["value"],
                as_typed=data["as_typed"],
                measured_on=data["measured_on"],
                text=data["text"],
                confirm=data["confirm"],
            )
        except Refused as refused:
            self.asks = isinstance(refused, Question)
            field = refused.field or ""
            if field.startswith("value-"):
                field = "measurement"
            elif field == "date":
                field = "measured_on"
            self.refuse(Refused(refused.message, field=field or None, code=refused.code))
            return None


class CloseForm(RefusableForm):
    """With what it is closed."""

    cause = forms.ChoiceField(label=gettext_lazy("The cause that was found"))
    found = forms.CharField(
        label=gettext_lazy("What was found, and what was done"),
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 4}),
        error_messages={"required": gettext_lazy("Write what was found, and what was done.")},
    )
    confirm = forms.BooleanField(
        label=gettext_lazy("Close it all the same; the figure goes on standing against running"),
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asks = False
        cause = self.fields["cause"]
        assert isinstance(cause, forms.ChoiceField)
        cause.choices = [("", _("Choose one")), *Cause.choices]

    def save(self, *, finding: Finding, by: Person) -> Finding | None:
        """Close it; None where it was refused, with the reason at its field."""
        try:
            return close_finding(finding=finding, by=by, **self.cleaned_data)
        except Refused as refused:
            self.asks = isinstance(refused, Question)
            self.refuse(refused)
            return None


class AimForm(RefusableForm):
    """Within how many days a first answer is meant to be given."""

    days = forms.IntegerField(
        label=gettext_lazy("A first answer within"),
        help_text=gettext_lazy("Empty: no aim. Nobody but your own people is told of it."),
        required=False,
        error_messages={"invalid": gettext_lazy("Write a whole number of days.")},
    )

    def save(self, *, workshop: Organisation, by: Person) -> bool:
        """Keep it; False where it was refused."""
        try:
            set_answering_aim(workshop=workshop, by=by, days=self.cleaned_data["days"])
        except Refused as refused:
            self.refuse(refused)
            return False
        return True
