"""Fields of which several are typed at once, and how each declared field is typed."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext as _

from advisory.common.bench.blocks import BlocksEntry, takes_blocks
from advisory.common.bench.entries import (
    ChoiceEntry,
    DateEntry,
    Entry,
    Line,
    NumberEntry,
    QuantityEntry,
    TextEntry,
    Typed,
    YesNoEntry,
)
from advisory.common.bench.lines import cells_of, line_of, read_line
from advisory.common.bench.pages import BenchPage
from advisory.common.bench.typed import typed_quantity
from advisory.common.bench.units import Words
from advisory.common.calculation import (
    ChoiceField,
    DateField,
    Field,
    ListField,
    NumberField,
    ObjectField,
    OneOrListField,
    QuantityField,
    TextField,
    YesNoField,
)
from advisory.common.quantities import read_quantity


class SeveralEntry(QuantityEntry):
    """One quantity or several, parted by semicolons."""

    def _attrs(self) -> dict[str, str]:
        return {"autocomplete": "off"}

    def _help(self) -> str:
        return super()._help() + " " + _("Several are parted by semicolons.")

    def _told(self, text: str, typed: Typed) -> Any:
        unit = typed.get(self.unit_name, "")
        told = [typed_quantity(one, self.field, unit) for one in text.split(";") if one.strip()]
        return told[0] if len(told) == 1 else told

    def example(self, told: Any) -> dict[str, str]:
        """Write the numbers in a row."""
        several = told if isinstance(told, list) else [told]
        read = [read_quantity(one, self.field.dimension) for one in several]
        return {
            self.name: "; ".join(f"{one.value:g}" for one in read),
            self.unit_name: read[0].unit,
        }


class LinesEntry(Entry[ListField]):
    """Many things of one kind, a line each, their parts in columns."""

    @property
    def wide(self) -> bool:
        """It takes a row for itself."""
        return True

    @property
    def columns(self) -> tuple[Field, ...]:
        """The parts of a line."""
        item = self.field.item
        assert isinstance(item, ObjectField)
        return item.shape.fields

    @property
    def parts(self) -> tuple[Field, ...]:
        """Those of a line."""
        return self.columns

    def form_fields(self, words: Words, typed: Typed) -> Iterator[tuple[str, forms.Field]]:
        """Yield the sheet of lines."""
        yield self.name, Line(**self._common(), widget=forms.Textarea(attrs={"rows": "10"}))

    def _help(self) -> str:
        columns = "; ".join(self.page.label(column.name).lower() for column in self.columns)
        return f"{super()._help()} " + _(
            "One a line: %(columns)s. A column that is empty is not known; columns copied from a "
            "spreadsheet will do."
        ) % {"columns": columns}

    def _told(self, text: str, _typed: Typed) -> Any:
        return [
            read_line(line, number, self.columns)
            for number, line in enumerate(text.splitlines(), start=1)
            if cells_of(line)
        ]

    def place_words(self, text: str, place: int) -> str:
        """Say which line is meant; empty ones were passed over."""
        lines = [n for n, line in enumerate(text.splitlines(), start=1) if cells_of(line)]
        return _("Line %(number)d") % {"number": lines[place]}

    def example(self, told: Any) -> dict[str, str]:
        """Write a line for each."""
        return {self.name: "\n".join(line_of(one, self.columns) for one in told)}


def entry_of(page: BenchPage, field: Field, *, asked: bool) -> Entry[Any]:
    """Return how a declared field is typed."""
    if isinstance(field, OneOrListField) and isinstance(field.item, QuantityField):
        return SeveralEntry(page, field.item, asked)
    if isinstance(field, ListField) and takes_blocks(field):
        return BlocksEntry(page, field, asked)
    if isinstance(field, ListField) and isinstance(field.item, ObjectField):
        return LinesEntry(page, field, asked)
    if isinstance(field, QuantityField):
        return QuantityEntry(page, field, asked)
    if isinstance(field, NumberField):
        return NumberEntry(page, field, asked)
    if isinstance(field, ChoiceField):
        return ChoiceEntry(page, field, asked)
    if isinstance(field, YesNoField):
        return YesNoEntry(page, field, asked)
    if isinstance(field, TextField):
        return TextEntry(page, field, asked)
    if isinstance(field, DateField):
        return DateEntry(page, field, asked)
    raise TypeError(f"{page.calculator.name}: nobody can type {field.name} on a page yet")
