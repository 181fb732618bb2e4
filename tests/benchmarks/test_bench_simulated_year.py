"""400 days of 200 cars, every sending held against the plain rules: some forty minutes on one core.

    python3 manage.py test tests/benchmarks/test_bench_simulated_year.py --benchmark-enable -n0 \\
        --benchmark-json=year.json

The file says how many reminders and mails came on each car in a year. CARS and DAYS ask for fewer.
"""

import os
from datetime import UTC, date, datetime, time, timedelta

import pytest

from advisory.plans.work import WORKS
from advisory.register.models import Design
from tests.cast import make_person
from tests.notices.simulated_days import check_the_end, live, make_club

pytestmark = [pytest.mark.benchmark(group="simulated year"), pytest.mark.django_db]
BEGIN = date(2024, 3, 1)
CARS, DAYS = int(os.environ.get("CARS", "200")), int(os.environ.get("DAYS", "400"))


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


def test_every_sending_of_400_days(
    benchmark, design: Design, django_capture_on_commit_callbacks
) -> None:
    rests = frozenset(kind for kind, work in WORKS.items() if work.rests_laid_up)
    club = make_club(design, cars=CARS, seed=11, begin=BEGIN, rests=rests, make_person=make_person)
    benchmark.pedantic(
        live,
        args=(club, BEGIN, DAYS, lambda: django_capture_on_commit_callbacks(execute=True)),
        rounds=1,
    )
    check_the_end(club, datetime.combine(BEGIN + timedelta(days=DAYS), time(21, 20), tzinfo=UTC))
    car_years = CARS * DAYS / 365
    said = {stage: round(count / car_years, 2) for stage, count in club.reminders.items()}
    benchmark.extra_info |= {
        "reminders a car and year": said,
        "mails a car and year": round(sum(club.mails.values()) / car_years, 2),
        "done": club.done,
        "put off": club.put_off,
        "laid up": club.laid_up,
    }
