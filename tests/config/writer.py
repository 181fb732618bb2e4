"""One of several processes that write to the same database; test_writers.py starts them.

    python -m tests.config.writer NUMBER TIMES ODOMETER PERSON

Each time, in one transaction: a reading is added, and a number that the processes share is read,
raised by one and written back.
"""

import sys
from datetime import date

import django
from django.db import transaction


def main() -> None:
    """Wait for the start, then write."""
    django.setup()
    from advisory.people.models import Person
    from advisory.usage.models import Reading

    number, times, odometer, person = map(int, sys.argv[1:])
    print("ready", flush=True)  # noqa: T201
    sys.stdin.readline()
    for turn in range(times):
        with transaction.atomic():
            counted = Person.objects.get(pk=person)
            Reading.objects.create(
                odometer_id=odometer, date=date(2024, 5, 1), shown=number * times + turn
            )
            counted.name = str(int(counted.name) + 1)
            counted.save(update_fields=["name"])


if __name__ == "__main__":
    main()
