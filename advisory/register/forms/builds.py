"""Forms for build sheets."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.errors import Refused
from advisory.people.forms import RefusableForm
from advisory.register.actions import SheetRefused
from advisory.register.fields import PastDateField
from advisory.register.queries import SheetRow


class BuildHeadForm(RefusableForm):
    """The head of a build sheet."""

    built_on = PastDateField(label=_("Built on"))
    new_white_metal = forms.BooleanField(
        label=_("The white metal is new, so it is run in"), required=False
    )
    notes = forms.CharField(
        label=_("Notes"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )


class NewBuildForm(BuildHeadForm):
    """A sheet that is begun."""


class SheetForm(BuildHeadForm):
    """A whole sheet: its head, and a figure for each position, with its unit as it is typed."""

    confirm = forms.BooleanField(
        label=_("The marked figures are right as I typed them"), required=False
    )

    def __init__(self, *args: Any, rows: tuple[SheetRow, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.asks = False
        self.rows = rows
        for row in rows:
            self.fields[self.name_of(row.position.pk)] = forms.CharField(
                label=row.position.name,
                required=False,
                max_length=40,
                initial=row.measurement.as_typed if row.measurement else "",
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            )

    @staticmethod
    def name_of(key: int) -> str:
        """Return the name of a position's field."""
        return f"position-{key}"

    @property
    def typed(self) -> dict[int, str]:
        """What was typed, by position."""
        return {
            row.position.pk: self.cleaned_data[self.name_of(row.position.pk)] for row in self.rows
        }

    @property
    def lines(self) -> list[tuple[SheetRow, forms.BoundField]]:
        """The rows with their fields."""
        return [(row, self[self.name_of(row.position.pk)]) for row in self.rows]

    def refuse(self, refusal: Refused) -> None:
        """Mark each figure that was refused."""
        if not isinstance(refusal, SheetRefused):
            super().refuse(refusal)
            return
        self.asks = refusal.only_asks
        for key, why in refusal.refusals.items():
            self.add_error(self.name_of(key), why.message)
