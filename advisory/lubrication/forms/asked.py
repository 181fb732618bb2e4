"""Forms that ask and keep nothing: what was typed goes into the address, with its units."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.bench.units import plain_figures, unit_words
from advisory.common.quantities import (
    LENGTH,
    PRESSURE,
    TEMPERATURE,
    Dimension,
    Preferences,
    QuantityError,
    from_si,
    read_number,
    read_typed,
)
from advisory.lubrication.adapters.engineering import TEMPERATURE_RANGE_C
from advisory.lubrication.film_words import KELVIN
from advisory.people.enums import SmallLengthUnit

_FIGURE = {"autocomplete": "off", "inputmode": "decimal"}


@dataclass(frozen=True)
class Asked:
    """A quantity that is asked for: its words, units, and the least and most that make sense.

    `bounds` says those, as `least` and `most`, in the `unit` that the reader chose.
    """

    label: Promise | str
    dimension: Dimension
    units: tuple[str, ...]
    least: float
    most: float
    bounds: Promise | str
    help: Promise | str = ""


_LOW, _HIGH = (celsius + KELVIN for celsius in TEMPERATURE_RANGE_C)
_TEMPERATURES = ("degC", "degF")
_LENGTHS = ("mm", "inch", "m")
_PRESSURES = ("bar", "psi")
_OF_OIL = gettext_lazy("Give the oil a temperature from %(least)s to %(most)s %(unit)s.")
_OF_PIPE = gettext_lazy("Give a size above nothing, to %(most)s %(unit)s.")
_OF_PRESSURE = gettext_lazy("Give a pressure above nothing, to %(most)s %(unit)s.")

COLD = Asked(gettext_lazy("Oil on a cold start"), TEMPERATURE, _TEMPERATURES, _LOW, _HIGH, _OF_OIL)
WARM = Asked(
    gettext_lazy("Oil in the sump on a warm run"), TEMPERATURE, _TEMPERATURES, _LOW, _HIGH, _OF_OIL
)
AT_PIPE = Asked(
    gettext_lazy("Pressure at the feed pipe"), PRESSURE, _PRESSURES, 1.0, 2e6, _OF_PRESSURE
)


class AskedForm(forms.Form):
    """Quantities, each with its unit beside it; cleaned to SI, None where nothing was typed.

    It is bound where the address asks something of it, and else shows what is known.
    """

    use_required_attribute = False
    quantities: ClassVar[Mapping[str, Asked]] = {}
    needed: ClassVar[frozenset[str]] = frozenset()

    def __init__(
        self, typed: Mapping[str, str], *, prefs: Preferences, known: Mapping[str, Any]
    ) -> None:
        self.prefs = prefs
        super().__init__()
        own = [*self.fields]
        for name, asked in self.quantities.items():
            usual = self._usual(asked)
            value = known.get(name)
            self.fields[name] = forms.CharField(
                label=str(asked.label),
                help_text=str(asked.help),
                required=name in self.needed,
                max_length=40,
                initial=None if value is None else f"{from_si(value, usual, asked.dimension):.5g}",
                widget=forms.TextInput(attrs=_FIGURE),
            )
            self.fields[f"{name}_unit"] = forms.ChoiceField(
                label=_("Unit of: %(what)s") % {"what": asked.label},
                choices=[(unit, unit_words(unit)) for unit in asked.units],
                initial=usual,
                required=False,
            )
        self.order_fields([*self.quantities, *own])
        for name in own:
            if name in known:
                self.fields[name].initial = known[name]
        self.data = {name: typed[name] for name in self.fields if typed.get(name, "").strip()}
        self.is_bound = self._asks({*self.quantities, *own} & self.data.keys())
        if self.is_bound:
            # a choice that the address leaves out stands as it is known; a figure never does
            for name in own:
                self.data.setdefault(name, self.fields[name].initial or "")
            for name, asked in self.quantities.items():
                if name not in self.data:
                    self.data.setdefault(f"{name}_unit", self._usual(asked))

    def _asks(self, told: set[str]) -> bool:
        """Say whether the address asks something of this form."""
        return bool(told)

    def _usual(self, asked: Asked) -> str:
        if asked.dimension == TEMPERATURE:
            return self.prefs.temperature
        inch = self.prefs.small_length == SmallLengthUnit.THOU
        return asked.units[1 if inch else 0]

    def clean(self) -> dict[str, Any]:
        """Read the quantities, each with its unit."""
        cleaned: dict[str, Any] = {**(super().clean() or self.cleaned_data)}
        for name, asked in self.quantities.items():
            if name in self.errors or f"{name}_unit" in self.errors:
                continue
            text, unit = cleaned.get(name, ""), cleaned.get(f"{name}_unit", "")
            cleaned[name] = self._read(name, asked, text, unit) if text else None
        return cleaned

    def _read(self, name: str, asked: Asked, text: str, unit: str) -> float | None:
        if not unit and not any(letter.isalpha() for letter in text):
            self.add_error(
                name,
                _("Write the unit too, such as “%(example)s”.")
                % {"example": asked.dimension.example},
            )
            return None
        try:
            value = read_typed(text, asked.dimension, unit).si
        except QuantityError as error:
            self.add_error(name, error.message)
            return None
        if not asked.least <= value <= asked.most:
            self.add_error(name, self._bounds_words(asked, unit))
            return None
        return value

    def _bounds_words(self, asked: Asked, unit: str) -> str:
        unit = unit or self._usual(asked)
        least, most = (from_si(si, unit, asked.dimension) for si in (asked.least, asked.most))
        return str(asked.bounds) % {
            "least": plain_figures(least),
            "most": plain_figures(most),
            "unit": unit_words(unit),
        }

    @property
    def asked(self) -> dict[str, Any]:
        """What is asked, in SI; nothing where the form is not bound or does not hold."""
        return self.cleaned_data if self.is_bound and self.is_valid() else {}

    @property
    def carried(self) -> list[tuple[str, str]]:
        """What the address asks of this form, for another form on the page to carry on."""
        return [(name, value) for name, value in self.data.items() if value and self.is_bound]


class ChoiceForm(AskedForm):
    """What if it starts colder, runs warmer, has another pressure at the pipe."""

    quantities: ClassVar[Mapping[str, Asked]] = {"cold": COLD, "warm": WARM, "pressure": AT_PIPE}

    def clean(self) -> dict[str, Any]:
        """Refuse a cold start that is warmer than the run."""
        cleaned = super().clean()
        cold, warm = cleaned.get("cold"), cleaned.get("warm")
        if isinstance(cold, float) and isinstance(warm, float) and cold > warm:
            self.add_error("cold", _("A cold start is colder than the warm run."))
        return cleaned


class HandbookForm(AskedForm):
    """A grade out of an old book, with the book's year."""

    grade = forms.CharField(
        label=gettext_lazy("The handbook says SAE"),
        max_length=10,
        widget=forms.TextInput(attrs=_FIGURE),
    )
    year = forms.CharField(
        label=gettext_lazy("Year in which it was printed"),
        max_length=10,
        widget=forms.TextInput(attrs=_FIGURE),
    )
    kind = forms.ChoiceField(
        label=gettext_lazy("It speaks of"),
        choices=[("engine", gettext_lazy("engine oil")), ("gear", gettext_lazy("gear oil"))],
        initial="engine",
    )

    def _asks(self, told: set[str]) -> bool:
        return bool(told & {"grade", "year"})

    def clean_year(self) -> int:
        """Read the year."""
        try:
            return int(read_number(self.cleaned_data["year"], whole=True))
        except QuantityError as error:
            raise forms.ValidationError(_("Write the year with its four figures.")) from error


class PipeForm(AskedForm):
    """How far a pipe is squashed, and what runs through it."""

    quantities: ClassVar[Mapping[str, Asked]] = {
        "bore": Asked(
            gettext_lazy("Bore of the pipe, round"), LENGTH, _LENGTHS, 1e-4, 0.1, _OF_PIPE
        ),
        "length": Asked(gettext_lazy("Length of the pipe"), LENGTH, _LENGTHS, 1e-3, 20.0, _OF_PIPE),
        "pressure": AT_PIPE,
        "height": Asked(
            gettext_lazy("Height that is left inside"),
            LENGTH,
            _LENGTHS,
            1e-5,
            0.1,
            _OF_PIPE,
            gettext_lazy("At the squash: outside height less twice the wall."),
        ),
        "squashed": Asked(
            gettext_lazy("Length of the squashed part"),
            LENGTH,
            _LENGTHS,
            1e-4,
            20.0,
            _OF_PIPE,
            gettext_lazy("The whole length where left empty: the careful side."),
        ),
        "cold": COLD,
        "warm": WARM,
    }
    needed: ClassVar[frozenset[str]] = frozenset({"bore", "length", "height"})
    oil = forms.ChoiceField(label=gettext_lazy("Oil"), required=False)
    bearing = forms.ChoiceField(label=gettext_lazy("It feeds"), required=False)

    def __init__(
        self,
        typed: Mapping[str, str],
        *,
        prefs: Preferences,
        known: Mapping[str, Any],
        oils: list[tuple[str, str]],
        bearings: list[tuple[str, str]],
    ) -> None:
        super().__init__(typed, prefs=prefs, known=known)
        for name, choices in (("oil", oils), ("bearing", bearings)):
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = choices

    def clean(self) -> dict[str, Any]:
        """Refuse a squash that is higher than the bore or longer than the pipe."""
        cleaned = super().clean()
        pairs = (
            ("height", "bore", _("A squash leaves at most the bore.")),
            ("squashed", "length", _("The squashed part is at most as long as the pipe.")),
            ("cold", "warm", _("A cold start is colder than the warm run.")),
        )
        for name, limit, words in pairs:
            value, most = cleaned.get(name), cleaned.get(limit)
            if isinstance(value, float) and isinstance(most, float) and value > most * (1 + 1e-9):
                self.add_error(name, words)
        return cleaned
