"""Which oils hold at both ends: film enough on a hot run, and oil that arrives on a cold start."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray
from advisory.engineering.errors import OutOfRange
from advisory.engineering.journal_bearing import FilmOutcome
from advisory.engineering.metals import BearingMaterial
from advisory.engineering.oil_choice.assumptions import assumed
from advisory.engineering.oil_choice.case import OilChoiceCase
from advisory.engineering.oil_choice.cold import cold_arrival
from advisory.engineering.oil_choice.films import Films, computable, films
from advisory.engineering.oil_choice.result import FilmVerdict, OilChoice, WasherDuty
from advisory.engineering.thrust_washer import thrust_washer_checks, thrust_washer_duty

#: Name of the method, and its version: raise it with every change that changes a result.
METHOD: Final = "oil-choice"
METHOD_VERSION: Final = "1"

_HOT, _WARM = 0, 1


def oil_choice(case: OilChoiceCase) -> OilChoice:
    """Judge every oil of a case at every clearance that is known.

    Parameters
    ----------
    case : OilChoiceCase
        What it is asked about.

    Returns
    -------
    OilChoice
        Without bearings, the cold end and the washers only.

    Raises
    ------
    OutOfRange
        For a bearing beyond the table of films (see `computable`), or an oil beyond the relations.

    References
    ----------
    The film by `oil_flow_balance`; what it is held to stands in `ASSUMPTIONS` and
    `ALLOWABLE_FILM`. The worst bearing is the one with the worst verdict, and among alike the one
    that comes nearest to its limit.

    Examples
    --------
    >>> from advisory.engineering.oil_choice.case import ChoiceBearing, ChoiceOil
    >>> case = OilChoiceCase(
    ...     bearings=(
    ...         ChoiceBearing(
    ...             key="front", diameter=0.05, length=0.05, load=4000.0, speed=40.0,
    ...             surface_roughness=0.8e-6, built=6e-5, limit=1.5e-4,
    ...         ),
    ...     ),
    ...     oils=(
    ...         ChoiceOil(
    ...             key="sae-10", kinematic_viscosity_40=37e-6, kinematic_viscosity_100=6e-6,
    ...             density_15=870.0,
    ...         ),
    ...         ChoiceOil(
    ...             key="sae-40", kinematic_viscosity_40=148e-6, kinematic_viscosity_100=14.5e-6,
    ...             density_15=890.0,
    ...         ),
    ...     ),
    ...     washers=(), pipe=None, cold_c=0.0, warm_c=80.0, hot_c=90.0, forced_oil=True,
    ...     pumped=True,
    ... )
    >>> oil_choice(case).window.tolist()
    [[True, True], [False, True]]
    """
    for bearing in case.bearings:
        if not computable(bearing):
            raise OutOfRange("bearings", "within the table of films", bearing.key)
    cold = cold_arrival(case)
    washers = tuple(_duty(case))
    shape = (len(case.states), len(case.oils))
    if not all(shape):
        nothing = np.full(shape, np.nan)
        none = np.zeros(shape, dtype=np.int8)
        return OilChoice(
            case, case.states, none, none.astype(np.intp), nothing, nothing, nothing, nothing,
            nothing, cold, washers,
        )  # fmt: skip
    both = films(case, (case.hot_c, case.warm_c), case.states)
    verdict, worst = _judged(both)
    done = both.performance
    temperature = _within(both, done.film_temperature_c)
    # a bearing without a film has no friction to state, and nor has the unit then
    power = np.where(both.known, done.friction_power, 0.0)[:, _WARM].sum(axis=-1)
    return OilChoice(
        case=case,
        states=case.states,
        verdict=verdict,
        worst=worst,
        film=_of_worst(done.minimum_film_thickness[:, _HOT], worst),
        film_ratio=_of_worst(both.film_ratio[:, _HOT], worst),
        allowable_film=both.allowable_film[worst],
        film_temperature_c=temperature[:, _HOT].max(axis=-1),
        power=power,
        cold=cold,
        washers=washers,
    )


def _judged(both: Films) -> tuple[NDArray[np.int8], NDArray[np.intp]]:
    """Return the verdict on each clearance and oil when hot, and which bearing brings it about."""
    done = both.performance
    outcome = done.outcome[:, _HOT]
    ratio = both.film_ratio[:, _HOT]
    film = done.minimum_film_thickness[:, _HOT]
    assert done.film_temperature_c is not None
    with np.errstate(invalid="ignore"):
        hot = done.film_temperature_c[:, _HOT] > assumed("film_temperature")
        margin = np.minimum(ratio / assumed("full_film_ratio"), film / both.allowable_film)
        verdict = np.select(
            [
                outcome == FilmOutcome.METAL_CONTACT,
                outcome == FilmOutcome.TEMPERATURE_RUNAWAY,
                outcome == FilmOutcome.LIGHTLY_LOADED,
                ratio < assumed("boundary_film_ratio"),
                margin < 1.0,
                hot,
            ],
            [
                FilmVerdict.METAL_CONTACT,
                FilmVerdict.TEMPERATURE_RUNAWAY,
                FilmVerdict.HOLDS,
                FilmVerdict.BOUNDARY,
                FilmVerdict.THIN,
                FilmVerdict.HOT,
            ],
            FilmVerdict.HOLDS,
        )
    known = both.known[:, _HOT]
    # the verdict counts first, the margin among alike; one that is not in doubt has endless margin
    order = np.where(np.isnan(margin), np.inf, np.minimum(margin, 1e6))
    order = np.where(verdict <= FilmVerdict.TEMPERATURE_RUNAWAY, 0.0, order)
    rank = np.where(known, verdict * 1e7 + np.minimum(order, 1e6), np.inf)
    worst = rank.argmin(axis=-1)
    return _of_worst(verdict.astype(np.int8), worst), worst


def _of_worst(values: NDArray[np.generic], worst: NDArray[np.intp]) -> NDArray:  # type: ignore[type-arg]
    return np.take_along_axis(values, worst[..., None], axis=-1)[..., 0]


def _within(both: Films, values: FloatArray | None) -> FloatArray:
    """Leave out the bearings whose clearance is not known."""
    assert values is not None
    return np.where(both.known, values, -np.inf)


def _duty(case: OilChoiceCase) -> list[WasherDuty]:
    duties = []
    for washer in case.washers:  # a few, and each with its own list of checks
        duty = thrust_washer_duty(
            inner_diameter=washer.inner_diameter,
            outer_diameter=washer.outer_diameter,
            load=washer.load,
            speed=washer.speed,
        )
        material = BearingMaterial(washer.material) if washer.material else None
        duties.append(
            WasherDuty(
                washer.key,
                float(duty.pressure),
                float(duty.sliding_speed),
                float(duty.pressure_velocity),
                tuple(thrust_washer_checks(duty, material=material)),
            )
        )
    return duties
