"""Several processes that write to SQLite at once lose nothing."""

import os
import subprocess
import sys

import pytest
from django.conf import settings
from django.db import connection

from advisory.config.machine import ROOT
from advisory.people.models import Person
from advisory.register.models import Odometer
from advisory.usage.models import Reading
from tests.worker import database_url

PROCESSES, TIMES = 4, 40


@pytest.mark.one_database
@pytest.mark.skipif(
    settings.DATABASES["default"]["ENGINE"] != "django.db.backends.sqlite3",
    reason="it is about SQLite's settings",
)
@pytest.mark.django_db(transaction=True)
def test_four_processes_writing_at_once_lose_nothing(odometer: Odometer, owner: Person) -> None:
    Person.objects.filter(pk=owner.pk).update(name="0")
    before = Reading.objects.count()
    connection.close()
    environ = os.environ | {
        "DJANGO_SETTINGS_MODULE": "advisory.config.settings",
        "DATABASE_URL": database_url(),
    }
    writers = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.config.writer"]
            + [str(each) for each in (number, TIMES, odometer.pk, owner.pk)],
            cwd=ROOT,
            env=environ,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for number in range(PROCESSES)
    ]
    for writer in writers:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
    errors = [writer.communicate(timeout=120)[1] for writer in writers]
    assert [writer.returncode for writer in writers] == [0] * PROCESSES, errors
    assert Reading.objects.count() - before == PROCESSES * TIMES
    owner.refresh_from_db()
    assert int(owner.name) == PROCESSES * TIMES
