"""What an oil can do besides carrying: loosen old dirt, eat bronze; and when to stop."""

from dataclasses import dataclass
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common.quantities import Preferences, in_words
from advisory.lubrication.adapters.engineering import CLOUD_CAUTION_C, FilmVerdict, State
from advisory.lubrication.adapters.interval import GEARED
from advisory.lubrication.choice.judging import Chosen
from advisory.lubrication.choice.words import STATE_WORDS, listed
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.models import Lubricant
from advisory.register.enums import BearingMaterial, UnitKind

PRACTICE = "common practice, no source"
# a figure typed as the limit is the limit, whatever the last bit of its conversion says
_SLACK = 1e-9


@dataclass(frozen=True)
class Warned:
    """One thing to mind, with where it comes from."""

    title: str
    text: str
    source: str = PRACTICE


def oils_named(chosen: Chosen) -> list[Lubricant]:
    """Return the oil that is prescribed and the one in it, each once."""
    oil = chosen.ground.oil
    rows = {row.pk: row for row in (oil.prescribed, oil.lubricant) if row is not None}
    return list(rows.values())


def bronze_at(chosen: Chosen) -> list[str]:
    """Name the positions of a unit that are bronze."""
    return [
        position.name
        for position in chosen.ground.positions
        if position.material == BearingMaterial.BRONZE
    ]


def warnings_of(chosen: Chosen) -> list[Warned]:
    """Return what is to be minded of the oils that a reader might take."""
    warned = []
    in_window = {
        oil.key
        for place, oil in enumerate(chosen.choice.case.oils)
        if chosen.choice.window[:, place].any()
    }
    geared = chosen.ground.design.kind in GEARED
    rows = [
        row
        for key, row in chosen.lubricants.items()
        # nobody pours a generic gear oil into an engine
        if key in in_window and (geared or not row.code or row.family != OilFamily.GEAR)
    ]
    candidates = {row.pk: row for row in (*rows, *oils_named(chosen))}.values()
    detergent = [row.name for row in candidates if row.detergent]
    sulphur = [row.name for row in candidates if row.active_sulphur]
    if detergent and chosen.ground.design.kind == UnitKind.ENGINE:
        warned.append(_detergent(chosen, detergent))
    if chosen.choice.case.cold_c < CLOUD_CAUTION_C:
        warned.append(
            Warned(
                _("So cold a start"),
                _(
                    "Straight mineral oils begin to cloud and to set at about this temperature, "
                    "and are then thicker than is computed: warm the oil, or wait for the day."
                ),
            )
        )
    if sulphur and (bronze := bronze_at(chosen)):
        warned.append(
            Warned(
                _("Sulphur and bronze"),
                _(
                    "Active sulphur (in %(oils)s, unless the data sheet says otherwise) eats "
                    "bronze when warm, and there is bronze here: %(places)s. Take only an oil "
                    "whose data sheet gives a copper corrosion (ASTM D130) of 1b or better, or "
                    "one without such additives."
                )
                % {"oils": listed(sulphur), "places": listed(bronze)},
            )
        )
    return warned


def _detergent(chosen: Chosen, names: list[str]) -> Warned:
    ground = chosen.ground
    title = _("Detergent oil")
    oils = {"oils": listed(names)}
    known: list[tuple[date, str]] = []
    if ground.flushed_on is not None:
        known.append((ground.flushed_on, _("it was flushed on %(day)s")))
    if ground.built_on is not None:
        known.append((ground.built_on, _("it was taken apart and rebuilt on %(day)s")))
    if known:
        day, how = max(known)
        return Warned(
            title,
            _(
                "Detergent oil (%(oils)s) keeps dirt afloat and loosens what lies there. As far "
                "as is written down %(how)s. If straight oil has been in it since, drop the sump "
                "first, or change at about 100 to 300, 500 and 1000 km with an eye on the "
                "strainer."
            )
            % {**oils, "how": how % {"day": date_format(day, "j F Y")}},
        )
    return Warned(
        title,
        _(
            "Detergent oil (%(oils)s) keeps dirt afloat and loosens what lies there. Whether this "
            "engine was ever cleaned inside is not known: nothing is written down of a flush or a "
            "rebuild. An engine that ran on straight oil and was not cleaned stays with it; or "
            "drop the sump first, and change at about 100 to 300, 500 and 1000 km with an eye on "
            "the strainer."
        )
        % oils,
    )


def stops_of(chosen: Chosen, prefs: Preferences) -> list[str]:
    """Say what must not go on: no film at the clearance that there is, or one past its limit."""
    return [*_past_limit(chosen, prefs), *_without_film(chosen)]


def _past_limit(chosen: Chosen, prefs: Preferences) -> list[str]:
    stops = []
    for bearing in chosen.ground.bearings:
        limit, measured = bearing.position.wear_limit, bearing.measured
        if limit is None or measured is None or measured.value < limit - _SLACK:
            continue
        stops.append(
            _(
                "%(bearing)s was measured at %(value)s on %(day)s, and its wear limit is "
                "%(limit)s. No oil makes up for that: stop, and ask the workshop."
            )
            % {
                "bearing": bearing.position.name,
                "value": in_words(measured.value, "small_length", prefs),
                "limit": in_words(limit, "small_length", prefs),
                "day": date_format(measured.on, "j F Y"),
            }
        )
    return stops


def _without_film(chosen: Chosen) -> list[str]:
    choice = chosen.choice
    state = state_now(chosen)
    if state is None or not choice.case.oils:
        return []
    if state == "built" and chosen.ground.only_typical:
        return []  # made of typical figures, it says nothing of this unit
    row = list(choice.states).index(state)
    said = {"state": STATE_WORDS[state]}
    if FilmVerdict(int(choice.best[row])).no_film:
        # the oil that does best has its worst bearing, too
        best = int(choice.verdict[row].argmax())
        bearing = choice.case.bearings[int(choice.worst[row, best])]
        return [
            _(
                "With the running clearance %(state)s there is no film in %(bearing)s with any of "
                "the oils. Stop, and ask the workshop."
            )
            % {**said, "bearing": chosen.case.names[bearing.key]}
        ]
    stops = []
    for place, oil in enumerate(choice.case.oils):
        lubricant = chosen.lubricants[oil.key]
        named = lubricant.pk in {each.pk for each in oils_named(chosen)}
        if named and FilmVerdict(int(choice.verdict[row, place])).no_film:
            bearing = choice.case.bearings[int(choice.worst[row, place])]
            stops.append(
                _(
                    "With %(oil)s, and the running clearance %(state)s, there is no film in "
                    "%(bearing)s on a hard run on a hot day. Stop, and ask the workshop before it "
                    "runs on."
                )
                % {
                    **said,
                    "oil": lubricant.name,
                    "bearing": chosen.case.names[bearing.key],
                }
            )
    return stops


def state_now(chosen: Chosen) -> State | None:
    """Return the clearance that counts today: as measured, else as built."""
    candidates: tuple[State, ...] = ("now", "built")
    return next((state for state in candidates if state in chosen.choice.states), None)
