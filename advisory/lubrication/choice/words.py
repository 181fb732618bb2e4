"""What an oil choice says: windows as spans of grades, verdicts and reasons as sentences."""

from collections.abc import Collection, Sequence
from functools import lru_cache

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.quantities import Preferences, number_in_words
from advisory.lubrication.adapters import CatalogueOil, catalogue
from advisory.lubrication.adapters.engineering import FilmVerdict, OilChoice, assumed
from advisory.lubrication.enums import OilFamily
from advisory.lubrication.film_words import celsius_words, film_words, seconds_words

#: Heads of columns, where there is little room.
STATE_HEADS: dict[str, Promise | str] = {
    "built": gettext_lazy("built"),
    "now": gettext_lazy("measured"),
    "limit": gettext_lazy("limit"),
}
STATE_WORDS: dict[str, Promise | str] = {
    "built": gettext_lazy("as built"),
    "now": gettext_lazy("as measured since"),
    "limit": gettext_lazy("at the wear limit"),
}

VERDICT_WORDS: dict[FilmVerdict, Promise | str] = {
    FilmVerdict.METAL_CONTACT: gettext_lazy("no film: metal would touch"),
    FilmVerdict.TEMPERATURE_RUNAWAY: gettext_lazy("no steady film: it would heat itself too far"),
    FilmVerdict.BOUNDARY: gettext_lazy("no film: thinner than the surfaces are rough"),
    FilmVerdict.THIN: gettext_lazy("film too thin"),
    FilmVerdict.HOT: gettext_lazy("film too hot"),
    FilmVerdict.HOLDS: gettext_lazy("film holds"),
}


@lru_cache(maxsize=1)
def _generic() -> dict[str, CatalogueOil]:
    oils = sorted(catalogue(), key=lambda oil: (oil.kinematic_viscosity_100, oil.code))
    return {oil.code: oil for oil in oils}


def _names(keys: Collection[str], family: OilFamily, *, multigrade: bool) -> list[str]:
    """Name the oils of a kind that are in `keys`: neighbours as a span from thinnest to thickest.

    Two oils of one thickness, as a gear oil with and without additives, are neighbours of none.
    """
    kind = [
        oil for oil in _generic().values()
        if oil.family == family and oil.multigrade == multigrade
    ]  # fmt: skip
    held = [oil.code in keys for oil in kind]
    runs: list[list[CatalogueOil]] = []
    for place, oil in enumerate(kind):
        if not held[place]:
            continue
        if place and held[place - 1] and runs and family != OilFamily.GEAR:
            runs[-1].append(oil)
        else:
            runs.append([oil])
    return [
        run[0].name
        if len(run) == 1
        else _("%(thinnest)s to %(thickest)s") % {"thinnest": run[0].name, "thickest": run[-1].name}
        for run in runs
    ]


def listed(words: Sequence[str]) -> str:
    """Write several as one: a, b and c."""
    if len(words) < 2:
        return "".join(words)
    return _("%(these)s and %(last)s") % {"these": ", ".join(words[:-1]), "last": words[-1]}


def span_words(keys: Collection[str], *, geared: bool) -> str:
    """Write the oils of a window that a person would ask for; "" where there is none of them.

    For an engine and what hangs on it straight engine oils, for gears gear oils; where none of
    these is in the window the others are named.
    """
    engine = _names(keys, OilFamily.ENGINE, multigrade=False)
    gear = _names(keys, OilFamily.GEAR, multigrade=False)
    first, second = (gear, engine) if geared else (engine, gear)
    multigrade = _names(keys, OilFamily.ENGINE, multigrade=True)
    industrial = _names(keys, OilFamily.INDUSTRIAL, multigrade=False)
    return listed(first or second or multigrade or industrial)


def other_words(keys: Collection[str], *, geared: bool) -> list[str]:
    """Write what else is in a window, a sentence a kind."""
    engine = _names(keys, OilFamily.ENGINE, multigrade=False)
    gear = _names(keys, OilFamily.GEAR, multigrade=False)
    kinds: list[tuple[str, list[str]]] = [
        (_("Of the multigrades: %(names)s."), _names(keys, OilFamily.ENGINE, multigrade=True)),
        (
            _("Of the circulating oils: %(names)s."),
            _names(keys, OilFamily.INDUSTRIAL, multigrade=False),
        ),
    ]
    if geared and gear:
        kinds.insert(0, (_("Of the engine oils: %(names)s."), engine))
    if not geared and engine:
        kinds.append((_("Of the gear oils: %(names)s."), gear))
    return [template % {"names": listed(names)} for template, names in kinds if names]


def hot_reason(
    choice: OilChoice, row: int, place: int, names: dict[str, str], prefs: Preferences
) -> str:
    """Say why an oil does not hold hot at a clearance, in a sentence; "" where it does."""
    verdict = FilmVerdict(int(choice.verdict[row, place]))
    if verdict == FilmVerdict.HOLDS:
        return ""
    film, ratio = float(choice.film[row, place]), float(choice.film_ratio[row, place])
    said = {
        "state": STATE_WORDS[choice.states[row]],
        "hot": celsius_words(choice.case.hot_c, prefs),
        "bearing": names[choice.case.bearings[int(choice.worst[row, place])].key],
    }
    if verdict == FilmVerdict.HOT:
        return _(
            "With the oil at %(hot)s, %(state)s, the film in %(bearing)s would get %(film)s hot; "
            "%(limit)s is the most."
        ) % {
            **said,
            "film": celsius_words(float(choice.film_temperature_c[row, place]), prefs),
            "limit": celsius_words(assumed("film_temperature"), prefs),
        }
    if verdict == FilmVerdict.THIN:
        allowed = float(choice.allowable_film[row, place])
        if film < allowed:
            return _(
                "With the oil at %(hot)s, %(state)s, the film in %(bearing)s is %(film)s thick; "
                "%(allowed)s is the least."
            ) % {
                **said,
                "film": film_words(film, prefs),
                "allowed": film_words(allowed, prefs),
            }
    if verdict in {FilmVerdict.THIN, FilmVerdict.BOUNDARY}:
        return _(
            "With the oil at %(hot)s, %(state)s, the film in %(bearing)s is %(ratio)s times as "
            "thick as the surfaces are rough; %(wanted)s times is the least."
        ) % {
            **said,
            "ratio": number_in_words(ratio, 1),
            "wanted": number_in_words(assumed("full_film_ratio"), 1),
        }
    if verdict == FilmVerdict.METAL_CONTACT:
        return (
            _("With the oil at %(hot)s, %(state)s, no film carries %(bearing)s: metal would touch.")
            % said
        )
    return (
        _(
            "With the oil at %(hot)s, %(state)s, the film in %(bearing)s would heat itself until "
            "nothing is known of the oil."
        )
        % said
    )


def cold_reason(choice: OilChoice, place: int, prefs: Preferences) -> str:
    """Say why an oil does not arrive on a cold start, in a sentence; "" where nothing says so."""
    cold = choice.cold
    at = {"cold": celsius_words(choice.case.cold_c, prefs)}
    if not cold.flows[place]:
        if choice.case.pumped:
            return _("At %(cold)s it is too thick for a pump to draw.") % at
        return _("At %(cold)s it is too thick to flow back to what dips into it.") % at
    if not cold.fills[place] and cold.filling_time is not None:
        return _("At %(cold)s it takes %(time)s to fill the feed pipe.") % {
            **at,
            "time": seconds_words(float(cold.filling_time[place])),
        }
    return ""


def cold_short(choice: OilChoice, place: int) -> str:
    """Say in a word or two what becomes of an oil on a cold start."""
    if not choice.cold.flows[place]:
        return _("too thick to start cold")
    if not choice.cold.fills[place]:
        return _("comes too slowly cold")
    return _("arrives cold")


#: What is not known of a bearing or a washer, and so keeps it out.
MISSING_WORDS: dict[str, Promise | str] = {
    "diameter": gettext_lazy("its diameter"),
    "length": gettext_lazy("its length"),
    "load": gettext_lazy("its load"),
    "speed": gettext_lazy("the engine's usual speed"),
    "clearance": gettext_lazy("its running clearance"),
    "oil": gettext_lazy("its density is not one of an oil that is computed here"),
    "beyond": gettext_lazy("it lies beyond the table of films (length 0.1 to 2 diameters)"),
}
