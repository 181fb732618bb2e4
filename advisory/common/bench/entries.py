"""How each kind of declared field is typed on a page, and read from what was typed."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django import forms
from django.utils.translation import gettext as _

from advisory.common.bench.pages import BenchPage
from advisory.common.bench.typed import (
    typed_number,
    typed_quantity,
    typed_yes_or_no,
    yes_or_no,
)
from advisory.common.bench.units import Words, refusal_in_words, unit_words
from advisory.common.calculation import (
    ChoiceField,
    DateField,
    Field,
    NumberField,
    QuantityField,
    TextField,
    YesNoField,
)
from advisory.common.quantities import QuantityError, read_quantity

Typed = Mapping[str, str]
FieldT = TypeVar("FieldT", bound=Field)

_FIGURE = {"autocomplete": "off", "inputmode": "decimal"}


class Line(forms.CharField):
    """A line as it was typed; what is missing or wrong is the calculator's to say."""

    def validate(self, value: Any) -> None:
        """Take everything."""


class _Choice(forms.ChoiceField):
    def validate(self, value: Any) -> None:
        """Take everything, as `Line` does."""


@dataclass(frozen=True)
class Entry(Generic[FieldT]):
    """One field of a calculator on its page; one that is not `asked` is called optional."""

    page: BenchPage
    field: FieldT
    asked: bool

    @property
    def name(self) -> str:
        """Its name, as the calculator has it."""
        return self.field.name

    @property
    def wide(self) -> bool:
        """Whether it takes a row for itself."""
        return False

    def form_fields(self, words: Words, typed: Typed) -> Iterator[tuple[str, forms.Field]]:
        """Yield the fields of the form, with their names."""
        yield self.name, Line(**self._common(), widget=forms.TextInput(attrs=self._attrs()))

    def told(self, typed: Typed) -> Any:
        """Return the JSON of what was typed, None for nothing, or raise Unreadable."""
        text = typed.get(self.name, "").strip()
        return self._told(text, typed) if text else None

    def _told(self, text: str, _typed: Typed) -> Any:
        return text

    def example(self, told: Any) -> dict[str, str]:
        """Write JSON as a person would have typed it."""
        return {self.name: str(told)}

    def place_words(self, text: str, place: int) -> str:
        """Say which of several things typed is meant."""
        return _("Number %(n)d") % {"n": place + 1}

    def refusal(self, message: str, _typed: Typed, words: Words, part: str = "") -> str:
        """Write what the calculator says of it, or of a part of one of many, for a person."""
        for column in self.parts:
            if column.name == part and isinstance(column, QuantityField):
                usual = words.usual(column, fine=part in self.page.fine)
                return refusal_in_words(message, column, usual)
        return refusal_in_words(message)

    @property
    def parts(self) -> tuple[Field, ...]:
        """What each of several things has, where it has parts."""
        return ()

    def _attrs(self) -> dict[str, str]:
        return {"autocomplete": "off"}

    def _common(self) -> dict[str, Any]:
        return {
            "label": self.page.label(self.name),
            "help_text": self._help(),
            "required": self.asked,
        }

    def _help(self) -> str:
        help_text = self.page.help(self.name, self.field.description)
        default = None if self.field.required else self.field.default
        if default is None:
            return help_text
        said = self._default_words(default)
        return f"{help_text} {_('%(default)s where left empty.') % {'default': said}}".strip()

    def _default_words(self, default: Any) -> str:
        return str(default)


class TextEntry(Entry[TextField]):
    """A short text."""


class DateEntry(Entry[DateField]):
    """A day."""

    def form_fields(self, words: Words, typed: Typed) -> Iterator[tuple[str, forms.Field]]:
        """Yield the day."""
        yield self.name, Line(**self._common(), widget=forms.TextInput(attrs={"type": "date"}))


class NumberEntry(Entry[NumberField]):
    """A bare number."""

    def _attrs(self) -> dict[str, str]:
        return _FIGURE

    def _told(self, text: str, _typed: Typed) -> Any:
        return typed_number(text, self.field)


class QuantityEntry(Entry[QuantityField]):
    """A number and its unit, which stands beside it and goes into the address with it."""

    @property
    def unit_name(self) -> str:
        """The name of the choice of units."""
        return f"{self.name}_unit"

    def form_fields(self, words: Words, typed: Typed) -> Iterator[tuple[str, forms.Field]]:
        """Yield the number and the choice of units."""
        yield from super().form_fields(words, typed)
        offered = [*words.offered(self.field)]
        sent = typed.get(self.unit_name, "")
        if sent and sent not in offered and self._is_unit(sent):
            offered.append(sent)
        yield (
            self.unit_name,
            forms.ChoiceField(
                choices=[(unit, unit_words(unit)) for unit in offered],
                initial=words.usual(self.field, fine=self.name in self.page.fine),
                required=False,
                label=_("Unit of: %(what)s") % {"what": self.page.label(self.name)},
            ),
        )

    def refusal(self, message: str, typed: Typed, words: Words, part: str = "") -> str:
        """Write limits in the unit in which it was typed."""
        unit = typed.get(self.unit_name, "")
        return refusal_in_words(
            message, self.field, unit if self._is_unit(unit) else self.field.unit
        )

    def _is_unit(self, unit: str) -> bool:
        try:
            read_quantity({"value": 1.0, "unit": unit}, self.field.dimension)
        except QuantityError:
            return False
        return True

    def _attrs(self) -> dict[str, str]:
        return _FIGURE

    def _told(self, text: str, typed: Typed) -> Any:
        return typed_quantity(text, self.field, typed.get(self.unit_name, ""))

    def example(self, told: Any) -> dict[str, str]:
        """Write the number and its unit apart."""
        read = read_quantity(told, self.field.dimension)
        return {self.name: f"{read.value:g}", self.unit_name: read.unit}

    def _default_words(self, default: Any) -> str:
        read = read_quantity(default, self.field.dimension)
        return f"{read.value:g} {unit_words(read.unit)}"


class ChoiceEntry(Entry[ChoiceField]):
    """One of a few words."""

    def form_fields(self, words: Words, typed: Typed) -> Iterator[tuple[str, forms.Field]]:
        """Yield the choice; what is taken where nothing is said stands chosen."""
        default = None if self.field.required else self.field.default
        nothing = [("", _("choose"))] if default is None else []
        choices = [(word, self.page.choice(word)) for word in self.field.choices]
        yield self.name, _Choice(choices=[*nothing, *choices], initial=default, **self._common())

    def _help(self) -> str:
        return self.page.help(self.name, self.field.description)


class YesNoEntry(Entry[YesNoField]):
    """Yes or no."""

    def form_fields(self, words: Words, typed: Typed) -> Iterator[tuple[str, forms.Field]]:
        """Yield the choice; what is taken where nothing is said stands chosen."""
        default = None if self.field.required else self.field.default
        nothing = [("", _("choose"))] if default is None else []
        choices = [*nothing, ("yes", _("yes")), ("no", _("no"))]
        initial = None if default is None else yes_or_no(default)
        yield self.name, _Choice(choices=choices, initial=initial, **self._common())

    def _help(self) -> str:
        return self.page.help(self.name, self.field.description)

    def _told(self, text: str, _typed: Typed) -> Any:
        return typed_yes_or_no(text)

    def example(self, told: Any) -> dict[str, str]:
        """Write the word."""
        return {self.name: yes_or_no(told)}
