"""The steadily loaded journal bearing: film, friction, flow and heat.

`load_solution` with the film's viscosity known, `oil_flow_balance` and `housing_balance` with
the film's temperature found; all for many bearings at once. `solve_film` and `solve_equilibrium`
solve Reynolds' equation directly, one bearing at a time.
"""

from advisory.engineering.journal_bearing.allowables import (
    bearing_checks,
    film_ratio,
)
from advisory.engineering.journal_bearing.case import BearingCase
from advisory.engineering.journal_bearing.equilibrium import solve_equilibrium
from advisory.engineering.journal_bearing.film_oil import specific_heat
from advisory.engineering.journal_bearing.heat_balance import (
    MULTIGRADE_FACTOR,
    STILL_AIR_COEFFICIENT,
    housing_balance,
    oil_flow_balance,
)
from advisory.engineering.journal_bearing.outcome import FilmOutcome
from advisory.engineering.journal_bearing.performance import (
    BearingPerformance,
    load_solution,
)
from advisory.engineering.journal_bearing.reynolds import (
    FilmPressure,
    FilmSolution,
    film_pressure,
    solve_film,
)
from advisory.engineering.journal_bearing.table import FilmFigures, film_figures

__all__ = [
    "MULTIGRADE_FACTOR",
    "STILL_AIR_COEFFICIENT",
    "BearingCase",
    "BearingPerformance",
    "FilmFigures",
    "FilmOutcome",
    "FilmPressure",
    "FilmSolution",
    "bearing_checks",
    "film_figures",
    "film_pressure",
    "film_ratio",
    "housing_balance",
    "load_solution",
    "oil_flow_balance",
    "solve_equilibrium",
    "solve_film",
    "specific_heat",
]
