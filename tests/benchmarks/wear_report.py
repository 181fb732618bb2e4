"""How well wear is foretold: ``python -m tests.benchmarks.wear_report [units]``.

On invented designs: rates scatter by a gamma law, which is none of ours, as-built values by a
normal one, and the gauge errs by more or less than is told. Each unit has one to four measurements.
"""

import sys
from dataclasses import dataclass, replace

import numpy as np

from advisory.engineering.wear import Measured, own_line, wear_of

MM, KM = 1e-3, 1e3
LIMIT = 0.12 * MM
JUDGED = 400


@dataclass(frozen=True)
class Case:
    """How the units of a design are, and are measured; millimetres and kilometres."""

    units: int = 12
    spread: float = 0.35
    gauge: float = 0.004
    told: float = 0.004
    scatter: float = 0.005
    rate: float = 1.2e-6  # mm a km
    farthest: float = 35_000.0
    least: int = 1
    most: int = 4


@dataclass(frozen=True)
class Judged:
    """How often the 80 % interval holds; the rest of units measured twice, ours over own line's."""

    units: int
    holds: float
    error: float
    error_of_own_line: float
    misses: float
    misses_of_own_line: float


def invent(rng: np.random.Generator, case: Case) -> tuple[list[Measured], float]:
    """Return units of one design, and how far the first really has to its limit [m]."""
    found, ahead = [], 0.0
    for unit in range(case.units + 1):
        rate = case.rate * 1e-6 * rng.gamma(case.spread**-2, case.spread**2)
        built = (0.05 + case.scatter * rng.standard_normal()) * MM
        n = int(rng.integers(case.least, case.most + 1))
        first = 0.0 if rng.random() < 0.7 else rng.uniform(0, 8_000 * KM)
        far = np.sort(np.append(rng.uniform(2_000 * KM, case.farthest * KM, n - 1), first))
        value = built + rate * far + case.gauge * MM * rng.standard_normal(n)
        found.append(Measured(far, np.maximum(value, 1e-6), np.full(n, case.told * MM)))
        if unit == 0:
            ahead = (LIMIT - built) / rate - far[-1]
    return found, ahead


def judge(units: int, seed: int, case: Case) -> Judged:
    """Foretell the wear of the first unit of many designs, and compare with the truth."""
    rng = np.random.default_rng(seed)
    held, errors, own, missed, own_missed = [], [], [], [], []
    for _ in range(units):
        those, ahead = invent(rng, case)
        found = wear_of(those[0], LIMIT, those[1:])
        low, middle, high = (
            np.inf if far is None else far for far in map(found.distance_at, (0.1, 0.5, 0.9))
        )
        held.append(low <= max(ahead, 0.0) <= high)
        if len(those[0].distance) == 2:
            met = own_line(those[0].distance, those[0].value).meets(LIMIT).at
            line = np.inf if met is None else met - those[0].last
            errors.append(abs(middle - ahead))
            own.append(abs(line - ahead))
            missed.append(errors[-1] > 0.5 * abs(ahead))
            own_missed.append(own[-1] > 0.5 * abs(ahead))
    return Judged(
        units=units,
        holds=float(np.mean(held)),
        error=float(np.median(errors)),
        error_of_own_line=float(np.median(own)),
        misses=float(np.mean(missed)),
        misses_of_own_line=float(np.mean(own_missed)),
    )


BASE = Case()
CASES = {
    "as stated": BASE,
    "two measurements each": replace(BASE, least=2, most=2),
    "two each, within 15 000 km": replace(BASE, least=2, most=2, farthest=15_000.0),
    "measured early": replace(BASE, farthest=15_000.0),
    "rates spread 20 %": replace(BASE, spread=0.2),
    "rates spread 50 %": replace(BASE, spread=0.5),
    "gauge twice as rough as told": replace(BASE, gauge=0.008),
    "gauge half as rough as told": replace(BASE, gauge=0.002),
    "as built twice as uneven": replace(BASE, scatter=0.01),
    "six units a design": replace(BASE, units=6),
    "no other unit": replace(BASE, units=0),
}

if __name__ == "__main__":
    judged = int(sys.argv[1]) if len(sys.argv) > 1 else JUDGED
    sys.stdout.write(f"{'':30s}  80 % holds  error/own line  misses/own line\n")
    for name, case in CASES.items():
        one = judge(judged, 51, case)
        sys.stdout.write(
            f"{name:30s}{one.holds:12.2f}{one.error / one.error_of_own_line:16.2f}"
            f"{one.misses:10.2f}/{one.misses_of_own_line:.2f}\n"
        )
