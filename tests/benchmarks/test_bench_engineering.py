"""How fast the engineering core is: ``pytest tests/benchmarks --benchmark-enable -n0``.

Left out of a plain run, as times say nothing on a busy machine. Each carries its goal on two
cores in the report's extra columns.
"""

import subprocess
import sys
import time

import numpy as np
import pytest

from advisory.engineering.journal_bearing import (
    housing_balance,
    load_solution,
    oil_flow_balance,
    solve_equilibrium,
)
from advisory.engineering.viscosity import Oil

pytestmark = pytest.mark.benchmark(group="engineering")

MANY = 100_000


@pytest.fixture(autouse=True)
def only_when_timed(request):
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


@pytest.fixture(scope="module")
def many():
    rng = np.random.default_rng(3)
    return {
        "diameter": rng.uniform(0.02, 0.08, MANY),
        "length": rng.uniform(0.02, 0.04, MANY),
        "running_clearance": rng.uniform(3e-5, 1e-4, MANY),
        "speed": rng.uniform(5.0, 100.0, MANY),
        "load": rng.uniform(50.0, 5000.0, MANY),
    }


@pytest.fixture(scope="module")
def many_oils():
    kv40 = np.random.default_rng(4).uniform(30.0, 300.0, MANY)
    return Oil(
        kinematic_viscosity_40=kv40 * 1e-6,
        kinematic_viscosity_100=0.65e-6 * kv40**0.62,
    )


def test_100_000_bearings_with_heat_balance_by_oil_flow(benchmark, many, many_oils):
    benchmark.extra_info["goal"] = "0.5 s"
    benchmark(oil_flow_balance, **many, oil=many_oils, supply_temperature_c=60.0)


def test_100_000_bearings_with_heat_balance_by_housing(benchmark, many, many_oils):
    benchmark.extra_info["goal"] = "0.5 s"
    benchmark(
        housing_balance,
        **many,
        oil=many_oils,
        ambient_temperature_c=25.0,
        housing_area=20.0 * many["length"] * many["diameter"],
    )


def test_100_000_bearings_under_load(benchmark, many):
    benchmark(load_solution, **many, viscosity=0.02)


@pytest.mark.parametrize(
    ("number", "length"), [(0.121, 1.0), (1.0, 0.5), (0.0105, 0.25), (0.0015, 2.0)]
)
def test_one_direct_solution_to_equilibrium(benchmark, number, length):
    benchmark.extra_info["goal"] = "15 ms"
    benchmark(solve_equilibrium, number, length)


def test_one_bearing_with_heat_balance(benchmark):
    oil = Oil(kinematic_viscosity_40=100e-6, kinematic_viscosity_100=11.2e-6)
    benchmark(
        oil_flow_balance,
        diameter=0.05,
        length=0.03,
        running_clearance=5e-5,
        speed=50.0,
        load=1500.0,
        oil=oil,
        supply_temperature_c=60.0,
    )


def test_import_of_the_engineering_package(benchmark):
    benchmark.extra_info["goal"] = "0.5 s"
    benchmark.pedantic(
        subprocess.run,
        args=([sys.executable, "-c", "import advisory.engineering"],),
        kwargs={"check": True},
        rounds=5,
    )


@pytest.mark.parametrize("load", [1000.0, 3000.0])
def test_one_bearing_beside_an_open_rotordynamics_library(benchmark, load):
    """Same bearing, same viscosity, the library's nearest class; its time and result in the report.

    The library (ross-rotordynamics, a pad of 355 degrees at 60 by 12 cells, its oil kept from
    warming) is no dependency of the project: where it is not installed this is left out. It
    compiles itself when first asked, which is not counted.
    """
    pytest.importorskip("ross", reason="ross-rotordynamics is not installed")
    from ross.bearings.lubricants import lubricants_dict
    from ross.bearings.plain_journal import PlainJournal

    radius, clearance, length, speed, viscosity = 0.025, 50e-6, 0.05, 25.0, 0.04
    lubricant = lubricants_dict["TEST"] | {
        "liquid_viscosity1": viscosity,  # at 40 degC
        "liquid_specific_heat": 1e9,
        "liquid_thermal_conductivity": 1e-3,
    }

    def theirs(around, along):
        return PlainJournal(
            n=0,
            axial_length=length,
            journal_radius=radius,
            radial_clearance=clearance,
            elements_circumferential=around,
            elements_axial=along,
            n_pad=1,
            pad_arc_length=355,
            preload=0,
            geometry="circular",
            reference_temperature=40,
            frequency=np.array([2.0 * np.pi * speed]),
            fxs_load=0,
            fys_load=-load,
            groove_factor=[0.5],
            lubricant=lubricant,
            sommerfeld_type=2,
            initial_guess=[0.3, -0.3],
            method="perturbation",
            operating_type="flooded",
            oil_supply_pressure=0,
            oil_flow_v=1e-5,
        )

    theirs(20, 6)
    begun = time.perf_counter()
    eccentricity, angle = theirs(60, 12).equilibrium_pos
    their_seconds = time.perf_counter() - begun
    number = (radius / clearance) ** 2 * viscosity * speed * 2.0 * radius * length / load
    ours = benchmark(solve_equilibrium, number, length / (2.0 * radius))
    benchmark.extra_info |= {
        "their_seconds": their_seconds,
        "their_eccentricity_ratio": float(eccentricity),
        "their_attitude_angle_degrees": 90.0 + float(np.degrees(angle)),
        "our_eccentricity_ratio": ours.eccentricity_ratio,
        "our_attitude_angle_degrees": float(np.degrees(ours.attitude_angle)),
    }
