"""How fast an oil choice is: ``pytest tests/benchmarks --benchmark-enable -n0``."""

import pytest

from advisory.engineering.lubricant_catalogue import LUBRICANTS
from advisory.engineering.oil_choice import (
    ChoiceBearing,
    ChoiceOil,
    ChoicePipe,
    OilChoiceCase,
    oil_choice,
)

pytestmark = pytest.mark.benchmark(group="engineering")


@pytest.fixture(autouse=True)
def only_when_timed(request):
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


def test_five_bearings_with_the_whole_catalogue(benchmark):
    benchmark.extra_info["goal"] = "50 ms"
    case = OilChoiceCase(
        bearings=tuple(
            ChoiceBearing(
                key=str(number),
                diameter=0.0445,
                length=0.0508,
                load=2500.0 + 300.0 * number,
                speed=36.7,
                surface_roughness=0.8e-6,
                built=(40 + number) * 1e-6,
                now=(60 + number) * 1e-6,
                limit=127e-6,
            )
            for number in range(5)
        ),
        oils=tuple(
            ChoiceOil(
                key=code,
                kinematic_viscosity_40=float(each.oil.kinematic_viscosity_40),
                kinematic_viscosity_100=float(each.oil.kinematic_viscosity_100),
                density_15=float(each.oil.density_15),
                multigrade=each.multigrade,
            )
            for code, each in LUBRICANTS.items()
        ),
        washers=(),
        pipe=ChoicePipe(bore=0.0048, length=0.42, pressure=1e5),
        cold_c=0.0,
        warm_c=80.0,
        hot_c=90.0,
        forced_oil=True,
        pumped=True,
    )
    benchmark(oil_choice, case)
