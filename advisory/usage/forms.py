"""Forms of the usage app."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from advisory.common.csv_files.text import LARGEST_FILE
from advisory.common.quantities import QuantityError, read_number
from advisory.people.enums import DistanceUnit
from advisory.people.forms import RefusableForm
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.usage.actions.hours import SECONDS_AN_HOUR
from advisory.usage.enums import DoubtfulLines
from advisory.usage.logbook_csv import Column, DateOrder, Logbook


class ReadingForm(AnsweredForm):
    """What the odometer shows; five seconds on a phone."""

    shown = ShownField(label=_("The odometer shows"))
    date = PastDateField(label=_("Read on"))
    note = forms.CharField(label=_("Note"), required=False, max_length=300)


class HoursForm(AnsweredForm):
    """What an hour counter shows; cleaned to seconds."""

    hours = forms.CharField(
        label=_("The counter shows"),
        max_length=20,
        error_messages={"required": _("Enter the number as the counter shows it.")},
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    date = PastDateField(label=_("Read on"))
    anew = forms.BooleanField(label=_("It is the first number of another counter"), required=False)
    about = ("date", "hours")

    def clean_hours(self) -> float:
        """Read the number."""
        try:
            return read_number(self.cleaned_data["hours"]) * SECONDS_AN_HOUR
        except QuantityError as error:
            raise ValidationError(error.message) from error


class OdometerForm(AnsweredForm):
    """Another odometer in the car."""

    date = PastDateField(label=_("Fitted on"))
    predecessor_showed = ShownField(
        label=_("The old one showed last"),
        required=False,
        help_text=_("Leave it empty if nobody knows."),
    )
    shown_when_fitted = ShownField(
        label=_("The new one showed when fitted"),
        required=False,
        help_text=_("Leave it empty if nobody knows."),
    )
    unit = forms.ChoiceField(
        label=_("The new one counts"), choices=DistanceUnit.choices, widget=forms.RadioSelect
    )
    digits = forms.IntegerField(
        label=_("Its whole figures"),
        help_text=_("Without the tenths. Most have five."),
        min_value=3,
        max_value=7,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    about = ("date", "predecessor_showed")


class OdometerChangeForm(RefusableForm):
    """An odometer that was described wrongly."""

    unit = forms.ChoiceField(
        label=_("It counts"), choices=DistanceUnit.choices, widget=forms.RadioSelect
    )
    digits = forms.IntegerField(
        label=_("Its whole figures"),
        help_text=_("Without the tenths. Most have five."),
        min_value=3,
        max_value=7,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )


class LayUpForm(AnsweredForm):
    """The car is put away, was for a spell, or will be."""

    date = PastDateField(
        label=_("Put away on"), help_text=_("A day to come announces it: the plan reckons with it.")
    )
    shown = ShownField(
        label=_("The odometer showed"),
        required=False,
        help_text=_("Leave it empty if you did not look."),
    )
    until = PastDateField(
        label=_("In use again from"),
        required=False,
        help_text=_("Leave it empty while nobody knows."),
    )


class ReturnForm(AnsweredForm):
    """The car is in use again."""

    date = PastDateField(label=_("In use again from"))
    shown = ShownField(
        label=_("The odometer shows"),
        required=False,
        help_text=_("Leave it empty if you did not look."),
    )


class LogbookFileForm(RefusableForm):
    """The file of a logbook."""

    file = forms.FileField(
        label=_("Logbook as a CSV file"),
        help_text=_("With a heading line, and at least a date and the odometer in each line."),
        error_messages={
            "required": _("Choose the file first."),
            "empty": _("The file is empty. Choose one with a heading line and lines below it."),
        },
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv,text/plain"}),
    )

    def clean_file(self) -> Any:
        """Refuse what is too large before it is read."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_FILE:
            raise ValidationError(
                _("The file is larger than 8 MB. Split it, and import the parts one by one.")
            )
        return file


class LogbookChoicesForm(RefusableForm):
    """What a person says of a logbook: its columns, its dates, its doubtful lines."""

    dates = forms.ChoiceField(
        label=_("In the dates comes"),
        choices=DateOrder.choices,
        required=False,
        widget=forms.RadioSelect,
    )
    date = forms.ChoiceField(label=_("Column with the date"), required=False)
    reading = forms.ChoiceField(label=_("Column with the odometer"), required=False)
    note = forms.ChoiceField(label=_("Column with notes"), required=False)
    doubtful = forms.ChoiceField(
        label=_("The doubtful lines"),
        choices=[
            (DoubtfulLines.LEAVE_OUT, _("Leave them out")),
            (DoubtfulLines.RIGHT, _("They are right as they stand")),
        ],
        required=False,
        widget=forms.RadioSelect,
        error_messages={"required": _("Say whether they are right, or leave them out.")},
    )
    leave_out_unreadable = forms.BooleanField(
        label=_("Leave out the lines that cannot be read"), required=False
    )

    def __init__(self, *args: Any, logbook: Logbook, asked: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["doubtful"].required = asked
        self.fields["dates"].required = bool(logbook.orders)
        headings = [(str(place), name) for place, name in enumerate(logbook.headings, start=1)]
        for column in Column:
            field = self.fields[column.value]
            assert isinstance(field, forms.ChoiceField)
            found = logbook.columns.get(column)
            field.required = column is not Column.NOTE
            if column is Column.NOTE:
                field.choices = [("", _("None")), *headings]
            elif found is None:
                field.choices = [("", _("Choose one")), *headings]
            else:
                field.choices = headings
            if found is not None:
                self.initial.setdefault(column.value, str(found + 1))
            elif column is Column.NOTE:
                self.initial.setdefault(column.value, "")

    @staticmethod
    def told(data: Any) -> tuple[DateOrder | None, dict[Column, str]]:
        """Return the order and the columns that a request names, leaving out what is neither."""
        order = data.get("dates", "")
        columns = {}
        for column in Column:
            name = data.get(column.value)
            if name is not None and (str(name).isdecimal() or column is Column.NOTE):
                columns[column] = str(name) if str(name).isdecimal() else ""
        return (DateOrder(order) if order in DateOrder.values else None), columns
