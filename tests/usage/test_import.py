from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from advisory.common.errors import NotAllowed, Question, Refused
from advisory.common.models import AuditEntry
from advisory.people.models import Person
from advisory.register.models import Car, Odometer, Unit
from advisory.usage.actions import import_logbook, keep_upload, record_reading
from advisory.usage.enums import DoubtfulLines
from advisory.usage.logbook_csv import read_logbook
from advisory.usage.logbook_preview import LineState, Preview, preview_logbook
from advisory.usage.models import LogbookUpload, Reading
from advisory.usage.queries import car_use

TODAY = date(2024, 6, 10)
GOOD = (
    b"Date;Odometer;Note\n2024-03-01;41,000;new year\n2024-04-01;41,250;\n2024-05-01;41,600;wet\n"
)


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


def take_in(car: Car, by: Person, data: bytes, **told: object) -> tuple[int, int, int]:
    logbook = read_logbook(data, today=TODAY)
    done = import_logbook(car=car, logbook=logbook, by=by, content=data, **told)  # type: ignore[arg-type]
    return done.added, done.there, done.left_out


def look(car: Car, data: bytes) -> Preview:
    return preview_logbook(car_use(car), read_logbook(data, today=TODAY), TODAY)


def test_logbook_is_taken_in_with_one_audit_row(car: Car, owner: Person) -> None:
    assert take_in(car, owner, GOOD) == (3, 0, 0)
    assert list(Reading.objects.values_list("date", "shown", "note", "source")) == [
        (date(2024, 3, 1), 41_000, "new year", "imported"),
        (date(2024, 4, 1), 41_250, "", "imported"),
        (date(2024, 5, 1), 41_600, "wet", "imported"),
    ]
    assert AuditEntry.objects.get().data["added"] == 3


def test_same_file_twice_changes_nothing(car: Car, owner: Person) -> None:
    take_in(car, owner, GOOD)
    assert take_in(car, owner, GOOD) == (0, 3, 0)
    assert Reading.objects.count() == 3
    assert AuditEntry.objects.count() == 1


def test_longer_file_adds_only_what_is_new(car: Car, owner: Person) -> None:
    take_in(car, owner, GOOD)
    assert take_in(car, owner, GOOD + b"2024-06-01;41,900;\n2024-06-01;41,900;\n") == (1, 4, 0)


def test_unreadable_line_keeps_all_out_until_it_is_left_out(car: Car, owner: Person) -> None:
    data = GOOD + b"2024-05-09;a lot;\n2024-06-11;41,700;\n2024-05-09;416000;\n"
    preview = look(car, data)
    assert [line.line.number for line in preview.of(LineState.UNREADABLE)] == [5, 6, 7]
    assert "not come yet" in preview.lines[4].why
    assert "5 figures" in preview.lines[5].why
    with pytest.raises(Refused, match="3 lines cannot be read") as refused:
        take_in(car, owner, data)
    assert refused.value.code == "unreadable_lines"
    assert not Reading.objects.exists()
    assert take_in(car, owner, data, leave_out_unreadable=True) == (3, 0, 3)


def test_doubtful_line_keeps_all_out_until_the_person_says(car: Car, owner: Person) -> None:
    data = GOOD + b"2024-05-05;14,650;\n2024-05-20;41,700;\n"
    preview = look(car, data)
    assert [line.line.number for line in preview.of(LineState.DOUBTFUL)] == [5]
    assert "less than the 41,600" in preview.lines[3].why
    with pytest.raises(Question, match="1 line is doubtful") as asked:
        take_in(car, owner, data)
    assert asked.value.code == "doubtful_lines"
    assert not Reading.objects.exists()
    assert take_in(car, owner, data, doubtful=DoubtfulLines.LEAVE_OUT) == (4, 0, 1)


def test_doubtful_lines_that_are_right_are_kept_as_confirmed(car: Car, owner: Person) -> None:
    data = b"Date;Odometer\n2024-05-01;41600\n2024-05-09;61600\n2024-05-20;61700\n"
    assert take_in(car, owner, data, doubtful=DoubtfulLines.RIGHT) == (3, 0, 0)
    assert Reading.objects.filter(confirmed=True, shown=61_600).exists()
    assert not any(point.doubt for point in car_use(car).trace.points)


def test_lines_are_judged_beside_the_readings_that_are_there(car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2024, 4, 15), shown=41_300, by=owner)
    data = b"Date;Odometer\n2024-04-01;41250\n2024-04-10;41350\n2024-05-01;41600\n"
    preview = look(car, data)
    assert [line.state for line in preview.lines] == [
        LineState.NEW, LineState.DOUBTFUL, LineState.NEW,
    ]  # fmt: skip
    assert "later, on 15 April 2024" in preview.lines[1].why


def test_rollover_in_a_logbook_is_believed(car: Car, owner: Person) -> None:
    data = b"Date;Odometer\n2024-05-01;99800\n2024-05-08;99950\n2024-05-15;00120\n"
    assert take_in(car, owner, data) == (3, 0, 0)
    assert car_use(car).distance() == pytest.approx(320 * 1609.344)


def test_lines_in_any_order_are_one_logbook(car: Car, owner: Person) -> None:
    head, *lines = GOOD.splitlines(keepends=True)
    assert take_in(car, owner, head + b"".join(reversed(lines))) == (3, 0, 0)


def test_logbook_in_the_other_unit_is_asked_about(car: Car, owner: Person) -> None:
    data = GOOD.replace(b"Odometer", b"Odometer km")
    preview = look(car, data)
    assert len(preview.of(LineState.DOUBTFUL)) == 3
    assert preview.lines[0].why == "The logbook says km, the odometer counts miles."
    with pytest.raises(Question):
        take_in(car, owner, data)


def test_lines_go_to_the_odometer_of_their_day(car: Car, owner: Person) -> None:
    new = Odometer.objects.create(car=car, unit="mile", digits=5, fitted_on=date(2024, 4, 15))
    data = b"Date;Odometer\n2024-03-01;41000\n2024-04-01;41250\n2024-05-01;130\n"
    assert take_in(car, owner, data) == (3, 0, 0)
    assert Reading.objects.get(shown=130).odometer == new


def test_what_is_unclear_is_not_taken_in(car: Car, owner: Person) -> None:
    with pytest.raises(Refused, match="how the dates are written"):
        take_in(car, owner, b"Date;Odometer\n03/05/2024;41600\n")


def big(lines: int) -> bytes:
    start = date(1950, 1, 1)
    rows = "".join(f"{start + timedelta(days=i // 2)};{(3 * i) % 100_000}\n" for i in range(lines))
    return b"Date;Odometer\n" + rows.encode()


def test_fifty_thousand_lines_go_in_by_bulk(car: Car, owner: Person) -> None:
    data = big(50_000)
    with CaptureQueriesContext(connection) as queries:
        assert take_in(car, owner, data) == (50_000, 0, 0)
    assert len(queries) < 1_000
    assert AuditEntry.objects.count() == 1
    assert take_in(car, owner, data) == (0, 50_000, 0)


def test_only_the_owner_imports(
    whole_unit: Unit, car: Car, fitter: Person, officer: Person, stranger: Person
) -> None:
    for person in (fitter, officer, stranger):
        with pytest.raises(NotAllowed):
            take_in(car, person, GOOD)
        with pytest.raises(NotAllowed):
            keep_upload(car=car, name="x.csv", content=GOOD, by=person)
    assert not Reading.objects.exists()


def test_upload_replaces_the_persons_earlier_one_and_old_ones_go(car: Car, owner: Person) -> None:
    old = keep_upload(car=car, name="old.csv", content=b"1", by=owner)
    new = keep_upload(car=car, name="new.csv", content=b"2", by=owner)
    assert LogbookUpload.objects.get() == new
    assert old.pk != new.pk
    with time_machine.travel("2024-06-12T12:00:00Z", tick=False):
        other = Car.objects.create(owner=owner, maker="Pell")
        third = keep_upload(car=other, name="third.csv", content=b"3", by=owner)
    assert LogbookUpload.objects.get() == third


def test_upload_that_is_too_large_is_refused(car: Car, owner: Person) -> None:
    with pytest.raises(Refused, match="8 MB"):
        keep_upload(car=car, name="x.csv", content=b"x" * (8 * 1024 * 1024 + 1), by=owner)
