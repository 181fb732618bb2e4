"""What is read on two connections is of one moment, and the same as on one."""

from threading import Thread

import pytest
from django.db import connection, transaction

from advisory.config.machine.waiting import wait_until
from advisory.people.models import Person
from advisory.reports.reckoning import of_club
from advisory.reports.second_connection import reading_beside
from tests.databases import on_postgresql
from tests.reports.invented_fleet import TODAY, make_fleet


def write_elsewhere() -> None:
    def write() -> None:
        Person.objects.create(email="late@example.com")
        connection.close()

    thread = Thread(target=write)
    thread.start()
    thread.join()


def connections_open() -> int:
    """Count those of clients to this database; the server's own workers come and go."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity "
            "WHERE datname = current_database() AND backend_type = 'client backend'"
        )
        return int(cursor.fetchone()[0])


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_both_see_the_moment_at_which_they_began(owner: Person) -> None:
    with reading_beside() as beside:
        write_elsewhere()
        assert beside(Person.objects.count)() == Person.objects.count() == 1
    assert Person.objects.count() == 2


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_what_goes_wrong_there_is_told_here_and_nothing_stays_open(owner: Person) -> None:
    with pytest.raises(Person.DoesNotExist), reading_beside() as beside:
        beside(lambda: Person.objects.get(email="nobody@example.com"))()
    assert Person.objects.count() == 1
    # the server's side of a connection ends a moment after ours
    wait_until(lambda: connections_open() == 1, seconds=10, what="The end of the second one")


@on_postgresql
@pytest.mark.django_db(transaction=True)
def test_report_is_the_same_on_two_connections_as_on_one() -> None:
    club = make_fleet(400).club
    two = of_club(club, TODAY, [])
    with transaction.atomic():
        one = of_club(club, TODAY, [])
    assert dict(two.all_tables()) == dict(one.all_tables())
    assert two.behind == one.behind


@pytest.mark.django_db
def test_in_a_transaction_its_own_changes_are_seen(owner: Person) -> None:
    with reading_beside() as beside:
        told = beside(Person.objects.count)
        Person.objects.create(email="new@example.com")
        assert told() == 2
