"""What happened to a unit, from all sides, newest first; each side is one source, asked by itself.

Who keeps further things that happened to units adds a source to `SOURCES`; the page, its filter and
the API follow.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences, in_words
from advisory.findings.models import Finding, MeasuredValue, Measuring
from advisory.lubrication.models import OilService
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.plans.models import WorkDone
from advisory.register.models import Build, Unit
from advisory.register.shown import in_figures
from advisory.usage.logbook_page import logbook_rows
from advisory.usage.queries import unit_use
from advisory.usage.use import UnitUse


@dataclass(frozen=True)
class Happened:
    """One thing that happened on a day; `reading` is what the odometer showed."""

    day: date
    title: str
    words: str = ""
    reading: str = ""
    url: str = ""
    source: str = ""


@dataclass(frozen=True)
class Asked:
    """Whose history is asked for, by whom."""

    unit: Unit
    by: Person
    prefs: Preferences
    use: UnitUse


@dataclass(frozen=True)
class Source:
    """One side of a history: its key in the address, its name, who may see it, what it tells."""

    key: str
    name: Promise
    permission: Permission
    tell: Callable[[Asked], Sequence[Happened]]


def _builds(asked: Asked) -> list[Happened]:
    rows = rules.scope(asked.by, Permission.VIEW_UNIT, Build.objects.filter(unit=asked.unit))
    return [
        Happened(
            row.built_on,
            _("Rebuilt") if row.revision <= 1 else _("Build sheet put right"),
            _("Signed.") if row.signed_at else _("Not signed yet."),
            url=reverse("register:build", args=[row.pk]),
        )
        for row in rows
    ]


def _services(asked: Asked) -> list[Happened]:
    rows = OilService.objects.filter(unit=asked.unit).select_related("lubricant")
    return [
        Happened(
            row.date,
            str(row.get_kind_display()),
            _sentence(
                "" if row.lubricant is None else str(row.lubricant),
                "" if row.volume is None else in_words(row.volume, "volume", asked.prefs),
                row.note,
            ),
            _shown(row.shown),
        )
        for row in rows
    ]


def _work(asked: Asked) -> list[Happened]:
    """Tell work that was done; what is an oil service is told there."""
    rows = WorkDone.objects.filter(unit=asked.unit, service=None)
    return [
        Happened(row.date, str(row.get_work_display()), row.note, _shown(row.shown)) for row in rows
    ]


def _readings(asked: Asked) -> list[Happened]:
    found = []
    for fitting, car in asked.use.stays:
        for row in logbook_rows(car):
            after = fitting.until_date is not None and row.date > fitting.until_date
            if row.date < fitting.from_date or after:
                continue
            title = _("Odometer: %(shown)s %(unit)s") % {
                "shown": row.shown,
                "unit": row.odometer.get_unit_display(),
            }
            found.append(Happened(row.date, title, str(row.words)))
    return found


def _hours(asked: Asked) -> list[Happened]:
    rows = asked.unit.hour_readings.all()
    return [
        Happened(row.date, _("Hour counter: %(n)s hours") % {"n": f"{row.shown / 3600:.10g}"})
        for row in rows
    ]


def _cars(asked: Asked) -> list[Happened]:
    found = []
    for fitting, use in asked.use.stays:
        title = _("Put into %(car)s") % {"car": use.car}
        found.append(Happened(fitting.from_date, title, "", _shown(fitting.from_reading)))
        if fitting.until_date is not None:
            title = _("Taken out of %(car)s") % {"car": use.car}
            left = str(fitting.get_left_for_display())
            shown = _shown(fitting.until_reading)
            found.append(Happened(fitting.until_date, title, _sentence(left), shown))
        for lay_up in use.lay_ups:
            over = lay_up.until_date is not None and lay_up.until_date < fitting.from_date
            after = fitting.until_date is not None and lay_up.from_date > fitting.until_date
            if not over and not after:
                found += _lay_up(lay_up.from_date, lay_up.until_date)
    return found


def _lay_up(begun: date, ended: date | None) -> list[Happened]:
    laid_up = [Happened(begun, _("Laid up"))]
    return laid_up if ended is None else [*laid_up, Happened(ended, _("In use again"))]


def _findings(asked: Asked) -> list[Happened]:
    rows = Finding.objects.filter(unit=asked.unit).select_related("position")
    return [
        Happened(
            row.seen_on,
            row.text if len(row.text) <= LONGEST_TITLE else f"{row.text[:LONGEST_TITLE]} …",
            _sentence(
                "" if row.position is None else str(row.position),
                _said_of(row),
            ),
            _shown(row.shown),
            reverse("findings:finding", args=[row.pk]),
        )
        for row in rules.scope(asked.by, Permission.VIEW_FINDING, rows)
    ]


def _said_of(row: Finding) -> str:
    what = row.as_typed or row.get_mark_display()
    return f"{what}: {row.get_judgement_display()}" if what else ""


def _measured(asked: Asked) -> list[Happened]:
    rows = Measuring.objects.filter(unit=asked.unit).prefetch_related(
        Prefetch("values", MeasuredValue.objects.select_related("position"))
    )
    return [
        Happened(
            row.measured_on,
            _("Measured by its owner"),
            _sentence(*(f"{value.position}: {value.as_typed}" for value in row.values.all())),
            _shown(row.shown),
            reverse("findings:measured", args=[row.pk]),
        )
        for row in rows
    ]


LONGEST_TITLE = 80
SOURCES: list[Source] = [
    Source("builds", gettext_lazy("Builds"), Permission.VIEW_UNIT, _builds),
    Source("oil", gettext_lazy("Oil"), Permission.VIEW_USE, _services),
    Source("work", gettext_lazy("Work done"), Permission.VIEW_USE, _work),
    Source("measured", gettext_lazy("Measured"), Permission.VIEW_USE, _measured),
    Source("findings", gettext_lazy("Findings"), Permission.VIEW_UNIT, _findings),
    Source("readings", gettext_lazy("Readings"), Permission.VIEW_USE, _readings),
    Source("hours", gettext_lazy("Hours"), Permission.VIEW_USE, _hours),
    Source("cars", gettext_lazy("Cars and lay-ups"), Permission.VIEW_USE, _cars),
]


def sources_for(unit: Unit, by: Person) -> list[Source]:
    """Return the sides of a unit's history that a person may see."""
    held = rules.leave_of(by, unit, *{source.permission for source in SOURCES})
    return [source for source in SOURCES if source.permission in held]


def history_of(
    unit: Unit, by: Person, *, only: str = "", sources: Sequence[Source] | None = None
) -> list[Happened]:
    """Return what happened to a unit, newest first, as far as a person may see it.

    `only` is the key of one source; a constant number of queries. `sources`: the sides that the
    person may see, where the caller has asked already.
    """
    asked = Asked(unit, by, preferences_of(by), unit_use(unit))
    told = [
        Happened(**{**vars(one), "source": source.key})
        for source in (sources_for(unit, by) if sources is None else sources)
        if only in ("", source.key)
        for one in source.tell(asked)
    ]
    return sorted(told, key=lambda one: one.day, reverse=True)


def _shown(number: int | None) -> str:
    return "" if number is None else in_figures(number)


def _sentence(*parts: str) -> str:
    told = [part.strip().rstrip(".") for part in parts if part and part.strip()]
    return f"{', '.join(told)}." if told else ""
