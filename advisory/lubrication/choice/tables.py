"""The tables of an oil choice: every oil, the bearings, the washers."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common.quantities import in_words, number_in_words
from advisory.lubrication.adapters.engineering import PRESSURE_VELOCITY_SOURCE, FilmVerdict
from advisory.lubrication.choice.answer import ChoiceAnswer
from advisory.lubrication.choice.warnings import bronze_at, oils_named
from advisory.lubrication.choice.words import (
    STATE_HEADS,
    VERDICT_WORDS,
    cold_short,
)
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.film_words import (
    film_words,
    flow_words,
    power_words,
    seconds_words,
)
from advisory.lubrication.models import Lubricant


@dataclass(frozen=True)
class Ratio:
    """A film ratio with the head of its column."""

    head: str
    figure: str


@dataclass(frozen=True)
class OilRow:
    """One oil in the table; `ratios` by clearance, `holds`: in the window of today's."""

    name: str
    marks: Sequence[str]
    ratios: Sequence[Ratio]
    power: str
    flow: str
    filling: str
    verdict: str
    holds: bool


@dataclass(frozen=True)
class BearingRow:
    """One bearing: its clearances, and its film with the oil that is prescribed or in it."""

    name: str
    clearances: Sequence[str | None]
    measured: str | None


@dataclass(frozen=True)
class WasherRow:
    """One thrust washer against what it bears."""

    name: str
    pressure_velocity: str
    limit: str
    kept: bool
    source: str


class ChoiceShown(ChoiceAnswer):
    """All that the page says of a choice, worked out as the template asks for it."""

    @property
    def state_heads(self) -> list[str]:
        """Heads of the columns of film ratios."""
        return [str(STATE_HEADS[state]) for state in self.states]

    @property
    def oils(self) -> list[tuple[str, list[OilRow]]]:
        """The oils by their kind, those that this unit is filled with first, thinnest first."""
        order = list(OilFamily)
        if self.geared:
            order.sort(key=lambda family: family != OilFamily.GEAR)
        places = sorted(
            range(len(self.choice.case.oils)),
            key=lambda place: self.choice.case.oils[place].kinematic_viscosity_100,
        )
        groups = []
        for family in order:
            rows = [
                self._oil_row(place)
                for place in places
                if self.chosen.lubricants[self.choice.case.oils[place].key].family == family
            ]
            if rows:
                groups.append((str(family.label), rows))
        return groups

    def generic_rows(self, kind: str) -> list[OilRow]:
        """Return the straight generic oils of a kind."""
        rows = self.chosen.lubricants
        return [
            self._oil_row(place)
            for place, oil in enumerate(self.choice.case.oils)
            if (row := rows[oil.key]).code and row.family == kind and not row.multigrade
        ]

    def _oil_row(self, place: int) -> OilRow:
        row = self.chosen.lubricants[self.choice.case.oils[place].key]
        cold = self.choice.cold
        holds = self.state is not None and bool(self.choice.window[self.today, place])
        return OilRow(
            name=row.name,
            marks=self._marks(row),
            ratios=[
                Ratio(head, self._ratio(state_row, place))
                for state_row, head in enumerate(self.state_heads)
            ],
            power=self._figure(
                None if self.state is None else self.choice.power[self.today, place], power_words
            ),
            flow=self._flow(place),
            filling=self._figure(
                None if cold.filling_time is None else cold.filling_time[place], seconds_words
            ),
            verdict=self._verdict(place),
            holds=holds,
        )

    def _marks(self, row: Lubricant) -> list[str]:
        marks = []
        oil = self.chosen.ground.oil
        if oil.prescribed is not None and row.pk == oil.prescribed.pk:
            marks.append(_("prescribed"))
        if oil.lubricant is not None and row.pk == oil.lubricant.pk:
            marks.append(_("in it now"))
        if not row.code:
            marks.append(_("a can of one's own"))
        if row.detergent:
            marks.append(_("detergent"))
        if row.active_sulphur and bronze_at(self.chosen):
            marks.append(_("may eat bronze"))
        return marks

    def _ratio(self, row: int, place: int) -> str:
        value = float(self.choice.film_ratio[row, place])
        if np.isfinite(value):
            return number_in_words(value, 1)
        verdict = FilmVerdict(int(self.choice.verdict[row, place]))
        return _("not in doubt") if verdict == FilmVerdict.HOLDS else _("no film")

    def _flow(self, place: int) -> str:
        flow = self.choice.cold.flow
        if flow is None:
            return _("not known")
        if np.isnan(flow[place]):
            return _("plenty")
        return flow_words(float(flow[place]), self.prefs) if flow[place] > 0.0 else _("none")

    def _figure(self, value: float | None, words: object) -> str:
        if value is None:
            return _("not known")
        assert callable(words)
        return str(words(float(value))) if np.isfinite(value) else _("none stated")

    def _verdict(self, place: int) -> str:
        cold = cold_short(self.choice, place)
        if self.state is None:
            return cold
        verdict = FilmVerdict(int(self.choice.verdict[self.today, place]))
        return _("%(hot)s; %(cold)s") % {"hot": VERDICT_WORDS[verdict], "cold": cold}

    @property
    def bearings(self) -> list[BearingRow]:
        """The bearings that count, with their running clearances."""
        grounds = {str(b.position.pk): b for b in self.chosen.ground.bearings}
        rows = []
        for bearing in self.choice.case.bearings:
            measured = grounds[bearing.key].measured
            rows.append(
                BearingRow(
                    self.names[bearing.key],
                    [
                        None if value is None else in_words(value, "small_length", self.prefs)
                        for value in (
                            bearing.built,
                            None if measured is None else measured.value,
                            bearing.limit,
                        )
                    ],
                    None if measured is None else date_format(measured.on, "j F Y"),
                )
            )
        return rows

    @property
    def washers(self) -> list[WasherRow]:
        """The thrust washers: pressure times sliding speed against what the pair bears."""
        rows = []
        for duty in self.choice.washers:
            product = [c for c in duty.checks if c.source == PRESSURE_VELOCITY_SOURCE]
            rows.append(
                WasherRow(
                    self.names[duty.key],
                    self._product(duty.pressure_velocity),
                    self._product(product[0].limit) if product else _("not known"),
                    all(check.passed for check in duty.checks),
                    product[0].source if product else duty.checks[0].source,
                )
            )
        return rows

    def _product(self, value: float) -> str:
        return _("%(number)s MPa·m/s") % {"number": number_in_words(value / 1e6, 3)}

    @property
    def has_named(self) -> bool:
        """Whether anybody has said which oil."""
        return bool(oils_named(self.chosen))

    @property
    def least_film(self) -> str:
        """The film in the worst bearing today with the oil that is prescribed or in it."""
        for oil in oils_named(self.chosen):
            place = self.place_of(oil)
            if place is None or self.state is None:
                continue
            film = float(self.choice.film[self.today, place])
            if np.isfinite(film):
                return _("%(film)s with %(oil)s; at least %(allowed)s is wanted") % {
                    "film": film_words(film, self.prefs),
                    "oil": oil.name,
                    "allowed": film_words(
                        float(self.choice.allowable_film[self.today, place]), self.prefs
                    ),
                }
        return ""
