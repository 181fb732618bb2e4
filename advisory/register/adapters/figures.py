"""What the figures of a build sheet tell, position by position, each against its limit."""

import math
from collections.abc import Mapping

import numpy as np
from django.utils.translation import gettext as _

from advisory.engineering.errors import OutOfRange
from advisory.engineering.flatness import FEWEST_POINTS, flatness, grid_points
from advisory.engineering.lip_seal import SealMaterial, seal_track_checks, track_speed
from advisory.engineering.measured import Measured, difference
from advisory.engineering.press_fit import (
    ROOM_TEMPERATURE_C,
    press_fit,
    press_fit_checks,
    press_fit_material,
)
from advisory.engineering.run_out import FEWEST_READINGS, run_out
from advisory.engineering.running_fit import (
    Diameter,
    RunningFit,
    Sameness,
    UndersizeCompared,
    bore_is_smaller,
    compare_undersizes,
    diameter,
    running_fit,
    undersize,
)
from advisory.register.adapters.derived import (
    LIMIT_TO_STANDARD,
    Derived,
    Figures,
    Shown,
    against,
    stands_of,
)
from advisory.register.enums import PositionKind, Stands
from advisory.register.models import Position
from advisory.register.sheet_fields import Gauge, planes_of

# where nobody told how far apart the places of a grid lie: a flatness hardly depends on it
USUAL_PITCH = 0.02
ZERO_CELSIUS = 273.15


def fit_of(position: Position, figures: Figures) -> RunningFit | None:
    """Return what bore and journal make; None until there is a reading of each."""
    bore, journal = (_planes(position, part, figures) for part in ("bore", "journal"))
    return running_fit(bore, journal) if any(bore) and any(journal) else None


def is_too_tight(position: Position, figures: Figures) -> bool:
    """Say whether the bore is smaller than the journal that should run in it."""
    pair = fit_of(position, figures)
    return pair is not None and bore_is_smaller(pair)


def journal_undersize(position: Position, figures: Figures) -> Measured | None:
    """Return how far below nominal a journal is; None where it is not measured."""
    planes = _planes(position, "journal", figures)
    if position.diameter is None or not any(planes):
        return None
    return undersize(position.diameter, diameter(planes))


def undersizes_compared(undersizes: Mapping[str, Measured]) -> UndersizeCompared | None:
    """Say whether all journals of a unit were ground alike; None for fewer than two."""
    return compare_undersizes(undersizes) if len(undersizes) > 1 else None


def derived_at(
    position: Position, figures: Figures, *, turns_per_second: float | None
) -> list[Derived]:
    """Return all that follows from the figures at one position, in the order of the page."""
    found: list[Derived] = []
    if position.kind == PositionKind.JOURNAL_BEARING:
        found += _bearing(position, figures)
    found += _as_typed(position, figures)
    if position.kind == PositionKind.LIP_SEAL:
        found += _track(position, figures, turns_per_second)
    found += _turning(position, figures)
    found += _face(position, figures)
    found += _sleeve(figures)
    return found


def _planes(position: Position, part: str, figures: Figures) -> list[list[Measured]]:
    gauge = Gauge.INSIDE if part == "bore" else Gauge.OUTSIDE
    return [
        [read for name in names if (read := figures.measured(name, gauge)) is not None]
        for names in planes_of(position, part)
    ]


def _bearing(position: Position, figures: Figures) -> list[Derived]:
    found = []
    least, most = position.as_built_least, position.as_built_most
    pair = fit_of(position, figures)
    if pair is not None:
        found += [
            against("clearance", _("Running clearance"), pair.clearance, least, most),
            against("tightest", _("at the tightest"), pair.tightest, least, None),
            against("widest", _("at the widest"), pair.widest, None, most),
        ]
    for part, words in (("journal", _("Journal")), ("bore", _("Bore"))):
        planes = _planes(position, part, figures)
        if any(planes):
            found += _form(part, words, diameter(planes), position.form_limit)
    below = journal_undersize(position, figures)
    if below is not None:
        found.append(against("undersize", _("Undersize"), below, None, None))
    return found


def _form(part: str, words: str, one: Diameter, most: float | None) -> list[Derived]:
    labels = {"ovality": _("%(part)s, ovality"), "taper": _("%(part)s, taper")}
    return [
        against(f"{part}_{name}", labels[name] % {"part": words}, figure, None, most)
        for name in labels
        if (figure := getattr(one, name)) is not None
    ]


def _as_typed(position: Position, figures: Figures) -> list[Derived]:
    """Hold what was typed as it stands in the record against the design's limits."""
    labels = {
        "clearance": _("Running clearance"), "end_float": _("End float"),
        "wear_depth": _("Depth of wear"), "gap": _("Gap"),
    }  # fmt: skip
    return [
        # nothing is less than nought: a lower limit of nought is none
        against(name, label, figure, position.as_built_least or None, position.as_built_most)
        for name, label in labels.items()
        if (figure := figures.measured(name, Gauge.OTHER)) is not None
    ]


def _track(position: Position, figures: Figures, turns: float | None) -> list[Derived]:
    size = figures.values.get("track", position.diameter)
    speed = track_speed(size, turns) if size and turns else None
    track = figures.values.get("track")
    try:
        checks = seal_track_checks(
            speed=speed,
            hardness=figures.values.get("hardness"),
            roughness=figures.values.get("roughness"),
            diameter=track if position.diameter else None,
            nominal=position.diameter if track else None,
            material=SealMaterial(position.seal_material) if position.seal_material else None,
        )
    except OutOfRange:  # a track beyond the tables has no class to be held against
        return []
    about = {
        "speed of the track": ("track_speed", _("Speed of the track"), Shown.SPEED),
        "hardness of the track": ("hardness", _("Hardness"), Shown.HARDNESS),
        "roughness of the track": ("roughness", _("Roughness Ra"), Shown.ROUGHNESS),
        "diameter of the track": ("track", _("Track, diameter"), Shown.SIZE),
    }
    found: dict[str, Derived] = {}
    for check in checks:
        name, label, shown = about[check.name]
        last = found.get(name)
        least = check.limit if check.kind == "at least" else (last.least if last else None)
        most = check.limit if check.kind == "at most" else (last.most if last else None)
        assert check.value is not None
        stands = Stands.WITHIN if last is None else last.stands
        if not check.passed:
            stands = Stands.BELOW if check.kind == "at least" else Stands.ABOVE
        found[name] = Derived(
            name, label, check.value, shown, None, stands, least, most, check.source
        )
    if speed is not None and "track_speed" not in found:
        found["track_speed"] = Derived("track_speed", _("Speed of the track"), speed, Shown.SPEED)
    return list(found.values())


def _turning(position: Position, figures: Figures) -> list[Derived]:
    around = [one for row in figures.readings.get("run_out", ()) for one in row if one is not None]
    if len(around) < FEWEST_READINGS:
        return []
    off = figures.off.get(Gauge.OTHER)
    turned = run_out(np.array(around))
    # a difference of two readings of one gauge, taken as independent: the careful side
    spread = None if off is None else off * LIMIT_TO_STANDARD * math.sqrt(2)
    found = [
        against("run_out", _("Run-out"), Measured(turned.total, spread), None,
                 position.run_out_limit)
    ]  # fmt: skip
    if turned.off_centre is not None:
        found.append(Derived("off_centre", _("of it, off centre by"), turned.off_centre))
    return found


def _face(position: Position, figures: Figures) -> list[Derived]:
    rows = figures.readings.get("grid", ())
    if not rows:
        return []
    width = max(map(len, rows))
    heights = np.array(
        [[np.nan if one is None else one for one in (*row, *[None] * (width - len(row)))]
         for row in rows], dtype=float,
    )  # fmt: skip
    pitch = figures.values.get("pitch") or USUAL_PITCH
    points = grid_points(heights, pitch, pitch)
    if len(points) < FEWEST_POINTS:
        return []
    try:
        flat = flatness(points)
    except OutOfRange:  # all on one line: there is no face to speak of yet
        return []
    off = figures.off.get(Gauge.OTHER)
    spread = None if off is None else off * LIMIT_TO_STANDARD * math.sqrt(2)
    zone = Measured(flat.minimum_zone, spread)
    return [
        against("flatness", _("Flatness, minimum zone"), zone, None, position.flatness_limit),
        Derived("flatness_least_squares", _("Flatness, least squares plane"), flat.least_squares,
                uncertainty=spread, source="ISO 12781-1"),
    ]  # fmt: skip


def _sleeve(figures: Figures) -> list[Derived]:
    shaft = figures.measured("sleeve_shaft", Gauge.OUTSIDE)
    bore = figures.measured("sleeve_bore", Gauge.INSIDE)
    if shaft is None or bore is None:
        return []
    grip = difference(shaft, bore)
    found = [against("interference", _("Interference of the sleeve"), grip, 0.0, None)]
    outer, length = figures.values.get("sleeve_outer"), figures.values.get("sleeve_length")
    if outer is None or length is None or grip.value <= 0:
        return found
    sleeve_of = press_fit_material(figures.chosen.get("sleeve_metal") or "steel")
    shaft_of = press_fit_material(figures.chosen.get("shaft_metal") or "steel")
    try:
        fit = press_fit(
            interface_diameter=bore.value,
            sleeve_outer_diameter=outer,
            length=length,
            interference=grip.value,
            sleeve_material=sleeve_of,
            shaft_material=shaft_of,
        )
    except OutOfRange:  # sizes that do not follow one another; the sizes themselves stand there
        return found
    stress, _shaft, hard, _near = press_fit_checks(
        fit, sleeve_material=sleeve_of, shaft_material=shaft_of
    )
    assert stress.value is not None
    warm = ROOM_TEMPERATURE_C + float(fit.assembly_temperature_rise)
    found += [
        Derived("sleeve_pressure", _("Pressure under the sleeve"), float(fit.pressure),
                Shown.PRESSURE),
        Derived("sleeve_stress", _("Stress at its bore"), stress.value, Shown.PRESSURE,
                stands=Stands.WITHIN if stress.passed else Stands.ABOVE, most=stress.limit,
                source=stress.source),
        Derived("sleeve_torque", _("Torque that slips it"), float(fit.torque), Shown.TORQUE),
        Derived("sleeve_warm", _("It goes on at"), warm + ZERO_CELSIUS, Shown.TEMPERATURE,
                stands=Stands.WITHIN if hard.passed else Stands.ABOVE,
                most=hard.limit + ZERO_CELSIUS, source=hard.source),
    ]  # fmt: skip
    return found


__all__ = [
    "Derived",
    "Figures",
    "Measured",
    "Sameness",
    "Shown",
    "UndersizeCompared",
    "derived_at",
    "fit_of",
    "is_too_tight",
    "journal_undersize",
    "stands_of",
    "undersizes_compared",
]
