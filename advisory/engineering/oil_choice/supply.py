"""What a feed pipe, round or squashed, brings to a bearing against what the bearing loses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from advisory.engineering.arguments import FloatArray, Floats, require
from advisory.engineering.errors import OutOfRange
from advisory.engineering.feed_pipe import feed_pipe_flow
from advisory.engineering.journal_bearing import FilmOutcome
from advisory.engineering.oil_choice.case import ChoiceOil, ChoicePipe, OilChoiceCase, State
from advisory.engineering.oil_choice.cold import pipe_flow, viscosity_or_stiff
from advisory.engineering.oil_choice.films import films, oils_together
from advisory.engineering.viscosity import density


@dataclass(frozen=True)
class PipeSupply:
    """Supply and need at some temperatures; arrays by temperature, needs by bearing too.

    Parameters
    ----------
    share_left : float
        Flow through the pipe as it is over that when round; the same at all temperatures [-].
    flow_round, flow : ndarray
        NaN where it would not be laminar, 0 where the oil does not flow [m3/s].
    at_least : ndarray
        What comes through at least, also where it would not be laminar [m3/s].
    need : ndarray
        What leaves each bearing at its sides, to be made good; NaN where no film is computed
        [m3/s].
    outcome : ndarray of int
        A `FilmOutcome` for each.
    """

    share_left: float
    flow_round: FloatArray
    flow: FloatArray
    at_least: FloatArray
    need: FloatArray
    outcome: NDArray[np.int8]

    @property
    def margin(self) -> FloatArray:
        """What comes through at least, over the need [-]; NaN where the need is not computed."""
        return np.asarray(self.at_least[:, None] / self.need)


def share_left(
    *,
    bore: float,
    length: float,
    flattened_to: Floats,
    flattened_length: float | None = None,
) -> FloatArray:
    """Flow through a squashed pipe over that through the same pipe when round.

    Parameters
    ----------
    bore, length : float
        Of the pipe when round [m].
    flattened_to : float or ndarray
        Inside height of the squashed section [m].
    flattened_length : float, optional
        How much of the length is squashed; all of it where left out [m].

    Returns
    -------
    ndarray
        [-]; oil and pressure don't count while the flow is laminar.

    Raises
    ------
    OutOfRange
        As `feed_pipe_flow`.

    References
    ----------
    See `feed_pipe_flow`.

    Examples
    --------
    >>> share_left(bore=0.006, length=1.0, flattened_to=[0.0045, 0.003]).round(3).tolist()
    [0.749, 0.309]
    """
    # so thick an oil and so small a pressure that it is laminar in any pipe
    through = feed_pipe_flow(
        bore=bore,
        length=length,
        pressure_difference=1e-3,
        viscosity=1e3,
        flattened_to=np.asarray(flattened_to, dtype=np.float64),
        flattened_length=flattened_length,
    )
    return through.flow_ratio


def pipe_supply(
    case: OilChoiceCase,
    *,
    state: State,
    oil: ChoiceOil,
    pipe: ChoicePipe,
    temperatures_c: tuple[float, ...],
    flattened_to: float | None = None,
    flattened_length: float | None = None,
) -> PipeSupply:
    """Hold what a feed pipe brings against what the bearings lose.

    Parameters
    ----------
    case : OilChoiceCase
        Its bearings count, each of which has a clearance in `state`, and whether oil is pressed in.
    state : str
        The clearance.
    oil : ChoiceOil
        In the unit.
    pipe : ChoicePipe
        With its pressure.
    temperatures_c : tuple of float
        Of the oil in pipe and sump [degC].
    flattened_to, flattened_length : float, optional
        As in `share_left`; round where left out.

    Returns
    -------
    PipeSupply

    Raises
    ------
    OutOfRange
        For a pipe without a pressure, a bearing without a clearance, or as `feed_pipe_flow`.

    References
    ----------
    What leaves the bearing at its sides is the film's side flow (Reynolds' equation, the table of
    films); what goes round with the journal need not be supplied. Pipe: see `feed_pipe_flow`.
    """
    if pipe.pressure is None:
        raise OutOfRange("pressure", "known", "nothing")
    without = [bearing.key for bearing in case.bearings if getattr(bearing, state) is None]
    if without:
        raise OutOfRange("state", "one in which each bearing has a clearance", without[0])
    ratio = 1.0
    if flattened_to is not None:
        ratio = float(
            share_left(
                bore=pipe.bore,
                length=pipe.length,
                flattened_to=flattened_to,
                flattened_length=flattened_length,
            )
        )
    temperatures = require("temperatures_c", np.asarray(temperatures_c))
    plain, _share = oils_together([oil])
    viscosity = np.concatenate([viscosity_or_stiff(plain, float(t)).ravel() for t in temperatures])
    rho = np.concatenate([density(plain, float(t)).ravel() for t in temperatures])
    flow_round, _least = pipe_flow(pipe, pipe.pressure, viscosity, rho)
    # a squash takes as much as less pressure would: both only scale the laminar flow
    flow, at_least = pipe_flow(pipe, ratio * pipe.pressure, viscosity, rho)
    done = films(case, temperatures_c, [state], [oil]).performance
    need = (done.flow * done.side_flow_ratio)[0, :, 0]
    outcome = done.outcome[0, :, 0]
    return PipeSupply(ratio, flow_round, flow, at_least, need, outcome)


def not_in_doubt(outcome: NDArray[np.int8]) -> NDArray[np.bool_]:
    """Where a bearing is so lightly loaded that hardly any oil leaves it.

    Parameters
    ----------
    outcome : ndarray of int
        A `FilmOutcome` each.

    Returns
    -------
    ndarray of bool

    Examples
    --------
    >>> not_in_doubt(np.array([0, 3], dtype=np.int8)).tolist()
    [False, True]
    """
    return np.asarray(outcome == FilmOutcome.LIGHTLY_LOADED)
