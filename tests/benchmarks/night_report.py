"""How long the night over all plans takes: ``python -m tests.benchmarks.night_report 1000 10000``.

For each number of cars an invented fleet is written into a PostgreSQL of its own, and all plans are
reckoned by two processes, as two workers would: for the first time; the night after, with nothing
new; and a night later with a reading on each twentieth car and the season learnt anew. Beside it
one process merely reads the same rows. `--at URL` takes a database that holds such a fleet.
"""

import argparse
import json
import logging
import os
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

DAY = date(2026, 5, 4)
WORKERS = 2
TICK = os.sysconf("SC_CLK_TCK")
MANY_TIMES = 40
EACH_READS = 20  # every so many cars have a new reading on the third night


def nights(url: str, begun_on: date = DAY) -> Iterator[dict[str, Any]]:
    """Do the steps and give their figures."""
    later = begun_on + timedelta(days=1)
    for name, day, step in (
        ("first night", begun_on, "night"),
        ("a night with nothing new", begun_on, "night"),
        ("rows merely read", begun_on, "read"),
        ("readings and season, by day", later, "drive"),
        ("the night after", later, "night"),
        ("one reading to its new plan", later, "one"),
    ):
        many = WORKERS if step == "night" else 1
        if step == "night":
            asked(url, day, "open")
        before, begun = server_seconds(url), time.perf_counter()
        workers = [start(url, day, step) for _number in range(many)]
        said = [json.loads(worker.communicate()[0].splitlines()[-1]) for worker in workers]
        wall = time.perf_counter() - begun
        yield {
            "step": name,
            "seconds": wall,
            "python": sum(one["cpu"] for one in said),
            "server": server_seconds(url) - before,
            "megabytes": sum(one["megabytes"] for one in said),
            "told": said[0].get("told", ""),
        }


def start(url: str, day: date, step: str) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-m", "tests.benchmarks.night_report", "--step", step, "--day", f"{day}"],
        env=os.environ | {"DATABASE_URL": url},
        stdout=subprocess.PIPE,
        text=True,
    )


def asked(url: str, day: date, step: str) -> Any:
    worker = start(url, day, step)
    out, _none = worker.communicate()
    assert worker.returncode == 0, out
    return json.loads(out.splitlines()[-1])


def server_seconds(url: str) -> float:
    """Processor time of the server and of all connections that are closed."""
    pid = asked(url, DAY, "server")["told"]
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return sum(int(ticks) for ticks in fields[11:15]) / TICK


# The steps, each in a process of its own ----------------------------------------------------------


def do(step: str, day: date) -> Any:
    import django
    import time_machine

    django.setup()
    with time_machine.travel(datetime(day.year, day.month, day.day, 2, 10, tzinfo=UTC)):
        return {
            "make": make, "open": begin, "night": night, "read": read_rows, "drive": drive,
            "one": one_reading, "server": server, "profile": profile,
        }[step]()  # fmt: skip


def make() -> None:
    from django.core.management import call_command
    from django.db import connection

    from advisory.usage.actions import learn_from_all_cars

    call_command("migrate", verbosity=0)
    cars = os.environ["CARS"]
    call_command("make_fleet", "--cars", cars, "--seed", "7", "--without-plans", stdout=sys.stderr)
    learn_from_all_cars()
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def begin() -> None:
    from advisory.plans.actions import open_run

    open_run(anew=True)


def night() -> str:
    from django.db import connection

    from advisory.plans.actions import open_run, work_on
    from advisory.plans.progress import progress_of

    run = open_run()
    work_on(run)
    came = progress_of(run)
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM plans_planitem WHERE in_force")
        (items,) = cursor.fetchone()
    return (
        f"{came.units:,} units, {items:,} items, {came.moved:,} plans moved, {came.failed} failed"
    )


def profile() -> None:
    import cProfile
    import pstats

    measured = cProfile.Profile()
    measured.runcall(night)
    pstats.Stats(measured, stream=sys.stderr).sort_stats("tottime").print_stats(60)


def read_rows() -> str:
    """Read the rows that a plan rests on, a thousand units at a time, and drop them."""
    from advisory.lubrication.models import OilAdvice, OilArrangement, OilService
    from advisory.plans.models import PlanItem, WearMark, WorkDone
    from advisory.register.models import Build, Car, Fitting, Odometer, Unit
    from advisory.usage.models import HourReading, LayUp, Reading

    keys = list(Unit.objects.order_by("pk").values_list("pk", flat=True))
    of_units = (Fitting, Build, OilArrangement, OilService, OilAdvice, PlanItem, WearMark, WorkDone,
                HourReading)  # fmt: skip
    rows = 0
    for at in range(0, len(keys), 1000):
        those = keys[at : at + 1000]
        rows += len(Unit.objects.filter(pk__in=those).select_related("owner").values_list())
        for model in of_units:
            rows += len(model._base_manager.filter(unit__in=those).values_list())
        cars = list(Fitting.objects.filter(unit__in=those).values_list("car_id", flat=True))
        rows += len(Car.objects.filter(pk__in=cars).values_list())
        rows += len(Odometer.objects.filter(car__in=cars).values_list())
        rows += len(LayUp.objects.filter(car__in=cars).values_list())
        rows += len(Reading.objects.filter(odometer__car__in=cars).order_by().values_list())
    return f"{rows:,} rows"


def drive() -> None:
    """Give each twentieth car a reading of today, and learn the season anew, as the night does."""
    from advisory.config.invented_fleet import in_bulk
    from advisory.people.clock import today_of
    from advisory.register.models import Odometer
    from advisory.usage.actions import learn_from_all_cars
    from advisory.usage.models import Reading

    last = dict(Reading.objects.order_by("date").values_list("odometer_id", "shown"))
    meters = Odometer.objects.order_by("pk")
    day = today_of(None)
    in_bulk(
        (
            Reading(odometer=meter, date=day, shown=(last.get(meter.pk, 0) + 40) % 10**meter.digits)
            for place, meter in enumerate(meters)
            if place % EACH_READS == 0
        ),
        Reading,
    )
    learn_from_all_cars()


def one_reading() -> str:
    """Write down one reading through its action, then open the page with its plan; the median."""
    from django.test import Client
    from django.urls import reverse

    from advisory.register.models import Fitting
    from advisory.usage.actions import record_reading
    from advisory.usage.queries import car_use

    logging.disable(logging.INFO)
    kept: list[tuple[float, float]] = []
    shown: list[tuple[float, float]] = []
    client = Client(SERVER_NAME="localhost")
    fitted = Fitting.objects.filter(until_date=None).select_related("car__owner")
    for fitting in fitted[: MANY_TIMES + 1]:
        car = fitting.car
        use = car_use(car)
        last = use.latest.reading.shown if use.latest else 0
        number = (last + 12) % 10**use.odometer.digits
        client.force_login(car.owner)
        begun = time.perf_counter(), time.process_time()
        record_reading(
            car=car, date=DAY, shown=number, by=car.owner, confirm=True, went_round=True
        )  # fmt: skip
        kept.append((time.perf_counter() - begun[0], time.process_time() - begun[1]))
        page = client.get(reverse("plans:unit", args=[fitting.unit_id]), secure=True)
        assert page.status_code == 200
        shown.append((time.perf_counter() - begun[0], time.process_time() - begun[1]))
    said = []
    for words, took in (("plan", kept), ("shown on the page", shown)):
        wall, cpu = (statistics.median(one) * 1e3 for one in zip(*took[1:], strict=True))
        said.append(f"{words} {wall:.0f} ms, {cpu:.0f} of it Python's")
    return "; ".join(said)


def server() -> int:
    from django.db import connection

    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        (pid,) = cursor.fetchone()
    return int(Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[1])


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("cars", type=int, nargs="*")
    parser.add_argument("--at", metavar="URL")
    parser.add_argument("--step")
    parser.add_argument("--day", type=date.fromisoformat, default=DAY)
    options = parser.parse_args()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "advisory.config.settings")
    if options.step:
        begun = time.process_time()
        told = do(options.step, options.day)
        used = resource.getrusage(resource.RUSAGE_SELF)
        said = {"told": told, "cpu": time.process_time() - begun, "megabytes": used.ru_maxrss / 1e3}
        sys.stdout.write(json.dumps(said) + "\n")
        return
    if options.at:
        show("as it is", nights(options.at, options.day))
    for cars in options.cars:
        with fleet_of(cars) as url:
            show(f"{cars:,} cars", nights(url))


@contextmanager
def fleet_of(cars: int) -> Iterator[str]:
    """Give the address of a server that holds such a fleet; gone afterwards."""
    from advisory.config.machine.postgres import running_postgres

    with running_postgres() as url:
        os.environ["CARS"] = str(cars)
        asked(url, DAY, "make")
        yield url


def show(title: str, steps: Iterator[dict[str, Any]]) -> None:
    head = f"{'':30s}{'seconds':>9s}{'python':>9s}{'server':>9s}{'MB':>7s}"
    sys.stdout.write(f"\n{title}\n{head}\n")
    for one in steps:
        sys.stdout.write(
            f"{one['step']:30s}{one['seconds']:9.1f}{one['python']:9.1f}{one['server']:9.1f}"
            f"{one['megabytes']:7.0f}  {one['told'] or ''}\n"
        )
        sys.stdout.flush()


if __name__ == "__main__":
    main()
