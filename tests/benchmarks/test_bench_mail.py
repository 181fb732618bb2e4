"""Twenty thousand mails by two workers, in a storm: ``pytest tests/benchmarks --benchmark-enable``.

Meant for PostgreSQL:

    python3 manage.py test tests/benchmarks/test_bench_mail.py --database postgresql \\
        --benchmark-enable -n0 -s

Two workers are killed at whatever they do at that moment, the broker is restarted once, the
database cuts all off once. MAILS says how many, if not 20 000.
"""

import os
import resource
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from advisory.config.machine.broker import Broker
from advisory.config.machine.waiting import wait_until
from advisory.notices.actions.reminders import raise_reminders
from advisory.notices.enums import MailState
from advisory.notices.models import Mail
from advisory.register.models import Design
from tests.notices import storm
from tests.notices.conftest import NOON, many_owners

pytestmark = [
    pytest.mark.benchmark(group="mail"),
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="of PostgreSQL, with benchmarks"),
]
MAILS = int(os.environ.get("MAILS", "20000"))
CORES = os.cpu_count() or 1


@pytest.fixture(autouse=True)
def only_when_timed(request: pytest.FixtureRequest) -> None:
    option = request.config.getoption
    if option("benchmark_disable") and not option("benchmark_enable"):
        pytest.skip("a benchmark; --benchmark-enable runs it")


def test_in_a_storm(
    benchmark, broker: Broker, design: Design, settings: Any, tmp_path: Path
) -> None:
    settings.BROKER_URL = broker.url
    many_owners(design, MAILS)
    begun = time.perf_counter()
    raise_reminders(now=NOON)
    benchmark.extra_info["raised_seconds"] = round(time.perf_counter() - begun, 1)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    expected = set(Mail.objects.values_list("message_id", flat=True))
    assert len(expected) == MAILS
    with storm.two_workers(broker, tmp_path) as (sink, (one, two)):

        def arrived(share: float) -> None:
            wait_until(
                lambda: len(sink.taken) >= share * MAILS, seconds=3600, what=f"{share:.0%} of them"
            )

        def all_of_it() -> None:
            storm.start_sweeps(2)
            for share, worker in ((0.15, one), (0.4, two)):
                arrived(share)
                worker.kill()
                storm.let_holds_run_out()
                worker.spawn()
                worker.wait()
                storm.start_sweeps(2)
            arrived(0.6)
            storm.restart(broker)
            storm.start_sweeps(2)
            arrived(0.8)
            storm.cut_the_database()
            storm.to_the_end(seconds=3600)

        benchmark.pedantic(all_of_it, rounds=1)

        doubled = sum(times - 1 for times in sink.taken.values())
        benchmark.extra_info |= {
            "goal": "50 a second with two cores to themselves, none lost, none doubled",
            "mails": MAILS,
            "a_second": round(MAILS / benchmark.stats["mean"], 1),
            "doubled": doubled,
            "load": os.getloadavg()[0],
            "cores": CORES,
        }
        for worker in (one, two):
            worker.stop()
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    benchmark.extra_info["cpu_ms_a_mail"] = round(1000 * (used.ru_utime + used.ru_stime) / MAILS, 1)
    told = ", ".join(f"{name}: {figure}" for name, figure in benchmark.extra_info.items())
    sys.stdout.write(f"\n{told}\n")
    assert set(sink.taken) == expected
    assert Mail.objects.filter(state=MailState.SENT).count() == MAILS
    assert doubled == 0
