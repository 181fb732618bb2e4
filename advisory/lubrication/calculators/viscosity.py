"""The calculator of an oil's viscosity and density with temperature, and of its grades."""

import math
from collections.abc import Sequence

import numpy as np
from django.utils.translation import gettext as _

from advisory.common.calculation import (
    Answer,
    Bounds,
    Calculator,
    Field,
    ListOut,
    NumberOut,
    OneOrListField,
    OneOrListOut,
    OneWay,
    Out,
    QuantityField,
    QuantityOut,
    Shape,
    TextOut,
    Values,
    Warned,
    Way,
    WholeOut,
)
from advisory.common.calculation.oil_fields import (
    OIL_FIELDS,
    oil_sources,
    oil_ways,
    oils_of,
    thins_with_heat,
)
from advisory.common.quantities import (
    DENSITY,
    DYNAMIC_VISCOSITY,
    KINEMATIC_VISCOSITY,
    TEMPERATURE,
    Dimension,
)
from advisory.engineering.arguments import FloatArray
from advisory.engineering.lubricant_catalogue import LUBRICANTS
from advisory.engineering.oil_grades import iso_viscosity_grade, sae_engine_grades
from advisory.engineering.viscosity import (
    CLOUD_CAUTION_C,
    TEMPERATURE_RANGE_C,
    ColdData,
    Oil,
    density,
    kinematic_viscosity,
    viscosity_index,
)

KELVIN = 273.15
_COLD = ("cranking_viscosity", "cranking_temperature", "pumping_viscosity", "pumping_temperature")


def celsius(kelvin: float) -> float:
    """Convert to degC, without the dust that the subtraction leaves in the last digits."""
    return round(kelvin - KELVIN, 9)


def _cold_viscosity(name: str, what: str) -> QuantityField:
    return QuantityField(
        name=name,
        description=what,
        dimension=DYNAMIC_VISCOSITY,
        unit="mPa*s",
        bounds=Bounds(above=0.0, at_most=1e7),
        default=None,
    )


def _cold_temperature(name: str, what: str) -> QuantityField:
    return QuantityField(
        name=name,
        description=what,
        dimension=TEMPERATURE,
        unit="degC",
        bounds=Bounds(at_least=-60.0, at_most=0.0),
        default=None,
    )


_FIELDS: tuple[Field, ...] = (
    *OIL_FIELDS,
    OneOrListField(
        name="temperature",
        description="Temperature of the oil, or a list of them.",
        item=QuantityField(
            name="temperature",
            description="Temperature of the oil.",
            dimension=TEMPERATURE,
            unit="degC",
            bounds=Bounds(at_least=TEMPERATURE_RANGE_C[0], at_most=TEMPERATURE_RANGE_C[1]),
        ),
    ),
    _cold_viscosity("high_shear_viscosity", "Viscosity at 150 degC and high shear."),
    _cold_viscosity("cranking_viscosity", "Viscosity in the cold cranking test."),
    _cold_temperature("cranking_temperature", "Temperature of the cold cranking test."),
    _cold_viscosity("pumping_viscosity", "Viscosity in the cold pumping test."),
    _cold_temperature("pumping_temperature", "Temperature of the cold pumping test."),
)


def _one_or_list(name: str, what: str, unit: str, dimension: Dimension) -> Out:
    item = QuantityOut(name=name, description=what, unit=unit, dimension=dimension)
    return OneOrListOut(name=name, description=what, item=item)


_ANSWERS: tuple[Out, ...] = (
    _one_or_list("kinematic_viscosity", "At each temperature.", "mm2/s", KINEMATIC_VISCOSITY),
    _one_or_list("dynamic_viscosity", "At each temperature.", "mPa·s", DYNAMIC_VISCOSITY),
    _one_or_list("density", "At each temperature.", "kg/m3", DENSITY),
    WholeOut(
        name="viscosity_index",
        description="As a whole number; null below 2 mm2/s at 100 degC, where it is not defined.",
        nullable=True,
    ),
    ListOut(
        name="sae_engine_grades",
        description="Grades of SAE J300 that the oil meets; W grades only with cold data.",
        item=TextOut(name="grade", description="Grade without the letters SAE."),
    ),
    NumberOut(
        name="iso_vg",
        description="Viscosity grade of ISO 3448; null where the oil lies between two.",
        nullable=True,
    ),
)


def _cold_data(row: Values) -> ColdData | None:
    if row["cranking_viscosity"] is None:
        return None
    return ColdData(
        cranking_viscosity=row["cranking_viscosity"],
        cranking_temperature_c=celsius(row["cranking_temperature"]),
        pumping_viscosity=row["pumping_viscosity"],
        pumping_temperature_c=celsius(row["pumping_temperature"]),
    )


def _warnings(row: Values, temperatures_c: FloatArray) -> tuple[Warned, ...]:
    said: list[Warned] = []
    if temperatures_c.min() < CLOUD_CAUTION_C:
        said.append(
            Warned(
                "may_be_cloudy",
                _(
                    "Below about -10 degC a mineral oil may have begun to cloud: it is then "
                    "thicker than computed. Its data sheet gives the pour point."
                ),
            )
        )
    code = row["lubricant"]
    if code is not None and LUBRICANTS[code].multigrade:
        said.append(
            Warned(
                "multigrade_shears",
                _(
                    "A multigrade shears in a film: count with about 0.9 of this viscosity there "
                    "(from memory)."
                ),
            )
        )
    return tuple(said)


def _compute(rows: Sequence[Values]) -> list[Answer]:
    many = [isinstance(row["temperature"], list) for row in rows]
    kelvins = [
        row["temperature"] if m else [row["temperature"]] for row, m in zip(rows, many, strict=True)
    ]
    temperatures_c = np.round(
        np.concatenate([np.array(k, dtype=np.float64) for k in kelvins]) - KELVIN, 9
    )
    oils = oils_of(rows)
    # every temperature of every case in one array, each with its case's oil
    place = np.repeat(np.arange(len(rows)), [len(k) for k in kelvins])
    each = Oil(
        kinematic_viscosity_40=np.asarray(oils.kinematic_viscosity_40)[place],
        kinematic_viscosity_100=np.asarray(oils.kinematic_viscosity_100)[place],
        density_15=np.asarray(oils.density_15)[place],
    )
    nu, rho = kinematic_viscosity(each, temperatures_c), density(each, temperatures_c)
    ends = np.cumsum([len(k) for k in kelvins])[:-1]
    figures = {
        "kinematic_viscosity": np.split(nu, ends),
        "dynamic_viscosity": np.split(nu * rho, ends),
        "density": np.split(rho, ends),
    }
    temperatures = np.split(temperatures_c, ends)
    index, iso = viscosity_index(oils), iso_viscosity_grade(oils.kinematic_viscosity_40)
    hot = np.asarray(oils.kinematic_viscosity_100)
    return [
        Answer(
            {
                **{name: parts[i] if many[i] else parts[i][0] for name, parts in figures.items()},
                "viscosity_index": float(index[i]),
                "sae_engine_grades": sae_engine_grades(
                    float(hot[i]),
                    high_shear_viscosity=row["high_shear_viscosity"],
                    cold=_cold_data(row),
                ),
                "iso_vg": _plain(float(iso[i])),
            },
            _warnings(row, temperatures[i]),
            oil_sources(row),
        )
        for i, row in enumerate(rows)
    ]


def _plain(grade: float) -> float:
    return int(grade) if math.isfinite(grade) and grade == int(grade) else grade


VISCOSITY = Calculator(
    name="viscosity",
    version="1",
    summary="Viscosity and density of an oil with temperature, its viscosity index, its grades.",
    takes=Shape(
        fields=_FIELDS,
        rules=(OneWay(oil_ways()), OneWay((Way(_COLD), Way(())))),
        checks=(thins_with_heat,),
    ),
    answers=_ANSWERS,
    sources=(
        "ASTM D341-09, viscosity with temperature (read in a reproduction)",
        "ASTM D2270-10, viscosity index (read in a reproduction)",
        "API MPMS 11.1, density of lubricating oils with temperature (read in a reproduction)",
        "SAE J300, May 2024, engine oil grades (limits read in a summary)",
        "ISO 3448, ISO viscosity grades (read in a summary)",
    ),
    compute=_compute,
    example={
        "lubricant": "sae-30",
        "temperature": ["15 degC", "40 degC", "80 degC"],
    },
    arguments={"temperature_c": "temperature"},
)
