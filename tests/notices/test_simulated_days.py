"""Some weeks of a small club; `tests/benchmarks/test_bench_simulated_year.py` lives 400 days."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from advisory.plans.work import WORKS
from advisory.register.models import Design
from tests.cast import make_person
from tests.notices.simulated_days import check_the_end, live, make_club

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
BEGIN = date(2024, 10, 14)


def test_every_sending_is_what_the_plain_rules_say(
    design: Design, django_capture_on_commit_callbacks
) -> None:
    rests = frozenset(kind for kind, work in WORKS.items() if work.rests_laid_up)
    club = make_club(design, cars=5, seed=3, begin=BEGIN, rests=rests, make_person=make_person)
    days = 24
    live(club, BEGIN, days, lambda: django_capture_on_commit_callbacks(execute=True))
    check_the_end(club, datetime.combine(BEGIN + timedelta(days=days), time(21, 20), tzinfo=UTC))
    # the weeks had something to say of everything
    assert all(club.reminders[stage] for stage in ("near", "due", "late")), club.reminders
    assert club.mails
    assert min(club.done, club.put_off, club.laid_up) > 0
