from datetime import date

import pytest
import time_machine
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from advisory.people.models import Person
from advisory.register.models import Car, Unit
from advisory.usage.actions import keep_upload, lay_up_car, record_reading
from advisory.usage.models import LayUp, LogbookUpload, Reading
from tests.cast import make_car

TODAY = date(2024, 6, 10)
GOOD = b"Date;Odometer;Trip\n2024-03-01;41,000;1\n2024-04-01;41,250;2\n"


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


@pytest.fixture
def as_owner(client: Client, owner: Person) -> Client:
    client.force_login(owner)
    return client


def url(name: str, *args: object) -> str:
    return reverse(f"usage:{name}", args=args)


def said(response: object) -> str:
    return " ".join(str(m) for m in get_messages(response.wsgi_request))  # type: ignore[attr-defined]


def test_reading_page_has_today_and_the_last_number(
    as_owner: Client, car: Car, owner: Person
) -> None:
    record_reading(car=car, date=date(2024, 6, 1), shown=41_300, by=owner)
    page = as_owner.get(url("reading_new", car.pk)).content.decode()
    assert 'inputmode="numeric"' in page
    assert 'value="2024-06-10"' in page
    assert "Last: 41,300 on 1 Jun 2024" in page


def test_reading_is_kept(as_owner: Client, car: Car) -> None:
    given = {"shown": "41 300", "date": "2024-06-10"}
    response = as_owner.post(url("reading_new", car.pk), given)
    assert response.headers["Location"] == url("logbook", car.pk)
    assert Reading.objects.get().shown == 41_300
    assert said(response) == "Kept: the odometer showed 41,300."


def test_reader_goes_back_where_they_came_from(as_owner: Client, car: Car) -> None:
    given = {"shown": "41300", "date": "2024-06-10", "next": "/units/3/"}
    assert as_owner.post(url("reading_new", car.pk), given).headers["Location"] == "/units/3/"
    given = {"shown": "41310", "date": "2024-06-10", "next": "https://elsewhere.example/"}
    answer = as_owner.post(url("reading_new", car.pk), given)
    assert answer.headers["Location"] == url("logbook", car.pk)


@pytest.mark.parametrize(
    ("shown", "day", "words"),
    [
        ("", "2024-06-10", "Enter the number as the odometer shows it."),
        ("a lot", "2024-06-10", "is not a number"),
        ("-5", "2024-06-10", "never shows less than nought"),
        ("412005", "2024-06-10", "has 5 figures"),
        ("41300", "2024-06-11", "has not come yet"),
        ("41300", "10.6.2024", "year-month-day"),
        ("41300", "", "Enter the day."),
        ("9" * 400, "2024-06-10", "is not a number"),
        ("41300", "0024-06-10", "four figures"),
    ],
)
def test_bad_reading_is_refused_with_what_to_do_and_kept_as_typed(
    as_owner: Client, car: Car, shown: str, day: str, words: str
) -> None:
    given = {"shown": shown, "date": day, "note": "wet road"}
    response = as_owner.post(url("reading_new", car.pk), given)
    page = response.content.decode()
    assert response.status_code == 422
    assert words in page
    assert 'value="wet road"' in page
    assert not shown or f'value="{shown}"' in page
    assert not Reading.objects.exists()


def test_question_keeps_the_value_and_takes_a_plain_answer(
    as_owner: Client, car: Car, owner: Person
) -> None:
    record_reading(car=car, date=date(2024, 5, 3), shown=45_210, by=owner)
    given = {"shown": "45120", "date": "2024-06-10"}
    response = as_owner.post(url("reading_new", car.pk), given)
    page = response.content.decode()
    assert response.status_code == 422
    assert "45,120 is less than the 45,210 it showed on 3 May 2024" in page
    assert 'value="45120"' in page
    assert 'name="answer" value="right"' in page
    # nobody drove 99,910 miles in five weeks
    assert 'value="went-round"' not in page
    asked = response.context["form"].asked_about
    answered = {**given, "asked": asked, "answer": "right"}
    assert as_owner.post(url("reading_new", car.pk), answered).status_code == 302
    assert Reading.objects.get(shown=45_120).confirmed


def test_what_may_have_gone_round_is_asked_about(as_owner: Client, car: Car, owner: Person) -> None:
    record_reading(car=car, date=date(2004, 6, 3), shown=30_000, by=owner)
    given = {"shown": "5000", "date": "2024-06-10"}
    response = as_owner.post(url("reading_new", car.pk), given)
    assert 'name="answer" value="went-round"' in response.text
    answered = given | {"asked": response.context["form"].asked_about, "answer": "went-round"}
    assert as_owner.post(url("reading_new", car.pk), answered).status_code == 302
    assert Reading.objects.get(shown=5_000).went_round


def test_question_about_the_same_day_says_so(as_owner: Client, car: Car, owner: Person) -> None:
    record_reading(car=car, date=TODAY, shown=41_300, by=owner)
    page = as_owner.post(url("reading_new", car.pk), {"shown": "51300", "date": "2024-06-10"})
    said = page.content.decode()
    assert "That would be 10,000 miles within one day: it showed 41,300 on" in said
    assert "0 days" not in said


def test_answer_counts_only_for_the_number_it_was_given_to(
    as_owner: Client, car: Car, owner: Person
) -> None:
    record_reading(car=car, date=date(2024, 5, 3), shown=45_210, by=owner)
    given = {"shown": "45120", "date": "2024-06-10"}
    asked = as_owner.post(url("reading_new", car.pk), given).context["form"].asked_about
    other = {**given, "shown": "14520", "asked": asked, "answer": "right"}
    assert as_owner.post(url("reading_new", car.pk), other).status_code == 422
    assert Reading.objects.count() == 1


def test_reading_is_put_right_and_taken_out(as_owner: Client, car: Car, owner: Person) -> None:
    reading = record_reading(car=car, date=TODAY, shown=41_300, by=owner)
    page = url("reading_edit", reading.pk)
    assert 'value="41300"' in as_owner.get(page).content.decode()
    assert as_owner.post(page, {"shown": "x", "date": "2024-06-10"}).status_code == 422
    as_owner.post(page, {"shown": "41400", "date": "2024-06-09"})
    reading.refresh_from_db()
    assert (reading.shown, reading.date) == (41_400, date(2024, 6, 9))
    as_owner.post(page, {"take-out": "1"})
    assert not Reading.objects.exists()


def test_logbook_shows_distance_and_marks_doubts(
    as_owner: Client, unit: Unit, car: Car, owner: Person
) -> None:
    record_reading(car=car, date=date(2024, 4, 1), shown=41_300, by=owner)
    odometer = car.odometers.get()
    Reading.objects.create(odometer=odometer, date=date(2024, 5, 1), shown=91_400)
    record_reading(car=car, date=TODAY, shown=41_450, by=owner, note="to the coast")
    page = as_owner.get(url("logbook", car.pk)).content.decode()
    assert "150 miles" in page
    assert "Farther than anybody drives" in page
    assert "to the coast" in page
    assert "Told with a fitting" in page


def test_empty_logbook_says_what_to_do(as_owner: Client, car: Car) -> None:
    assert "No reading yet" in as_owner.get(url("logbook", car.pk)).content.decode()


def test_logbook_entry_leads_to_the_only_car_or_lists_them(
    as_owner: Client, car: Car, owner: Person
) -> None:
    assert as_owner.get("/logbook/").headers["Location"] == url("logbook", car.pk)
    make_car(owner, "Pell")
    page = as_owner.get("/logbook/").content.decode()
    assert "Harrow Vale" in page
    assert "Pell" in page


def test_who_has_no_car_is_told_what_to_do(client: Client, stranger: Person) -> None:
    client.force_login(stranger)
    assert "No car yet" in client.get("/logbook/").content.decode()


def test_logbook_takes_as_many_queries_for_three_rows_as_for_one(
    as_owner: Client, unit: Unit, car: Car, owner: Person
) -> None:
    def count(address: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert as_owner.get(address).status_code == 200
        return len(queries)

    record_reading(car=car, date=date(2024, 3, 1), shown=41_200, by=owner)
    LayUp.objects.create(car=car, from_date=date(2023, 11, 1), until_date=date(2024, 2, 1))
    as_owner.get(url("logbook", car.pk))
    one = count(url("logbook", car.pk))
    for month in (4, 5):
        record_reading(car=car, date=date(2024, month, 1), shown=41_200 + 100 * month, by=owner)
        LayUp.objects.create(
            car=car,
            from_date=date(2020 + month - 4, 11, 1),
            until_date=date(2020 + month - 3, 2, 1),
        )
    assert count(url("logbook", car.pk)) == one
    make_car(owner, "Pell")
    two = count("/logbook/")
    make_car(owner, "Quill")
    assert count("/logbook/") == two


def test_car_is_laid_up_and_back(as_owner: Client, car: Car) -> None:
    given = {"date": "2024-06-01", "shown": "41300"}
    assert as_owner.post(url("lay_up", car.pk), given).status_code == 302
    assert as_owner.post(url("lay_up", car.pk), given).status_code == 422
    assert "Laid up" in as_owner.get(url("logbook", car.pk)).content.decode()
    assert as_owner.post(url("return", car.pk), {"date": "2024-06-09"}).status_code == 302
    spell = LayUp.objects.get()
    assert spell.until_date == date(2024, 6, 9)
    assert as_owner.get(url("lay_up_cancel", spell.pk)).status_code == 302
    assert LayUp.objects.exists()
    as_owner.post(url("lay_up_cancel", spell.pk))
    assert not LayUp.objects.exists()


def test_lay_up_that_the_readings_contradict_stays_as_it_was_typed(
    as_owner: Client, car: Car, owner: Person
) -> None:
    for day, shown in ((date(2024, 3, 1), 41_000), (date(2024, 6, 1), 42_000)):
        record_reading(car=car, date=day, shown=shown, by=owner)
    given = {"date": "2020-01-01", "until": "2025-01-01"}
    answer = as_owner.post(url("lay_up", car.pk), given)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "41,000 on 1 March 2024 and 42,000 on 1 June 2024: it was driven 1,000 miles" in page
    assert 'value="2020-01-01"' in page
    assert 'value="2025-01-01"' in page
    assert not LayUp.objects.exists()


def test_car_is_back_on_the_day_of_its_return(as_owner: Client, car: Car) -> None:
    LayUp.objects.create(car=car, from_date=date(2023, 11, 1))
    for where in (url("logbook", car.pk), url("logbook")):
        assert "Laid up" in as_owner.get(where, follow=True).content.decode()
    as_owner.post(url("return", car.pk), {"date": "2024-06-10"})
    page = as_owner.get(url("logbook", car.pk)).content.decode()
    assert "Reminders rest meanwhile" not in page
    assert "Lay it up" in page


def test_odometer_is_replaced_and_described_anew(as_owner: Client, car: Car) -> None:
    given = {"date": "2024-06-01", "unit": "km", "digits": "6", "predecessor_showed": "",
             "shown_when_fitted": ""}  # fmt: skip
    assert as_owner.post(url("odometer_replace", car.pk), given).status_code == 302
    assert as_owner.post(url("odometer_replace", car.pk), given).status_code == 422
    assert as_owner.get(url("odometer_edit", car.pk)).status_code == 200
    assert (
        as_owner.post(url("odometer_edit", car.pk), {"unit": "mile", "digits": "9"}).status_code
        == 422
    )
    as_owner.post(url("odometer_edit", car.pk), {"unit": "mile", "digits": "5"})
    assert list(car.odometers.values_list("unit", "digits")) == [("mile", 5), ("mile", 5)]


def sent(client: Client, address: str, **fields: str) -> dict[str, str]:
    """Return what a browser sends from the page: what is filled in, and what the person chose."""
    form = client.get(address).context["form"]
    filled = {name: str(value) for name, value in form.initial.items() if value is not None}
    return {**filled, **fields}


def upload(client: Client, car: Car, data: bytes, name: str = "log.csv") -> object:
    return client.post(url("import", car.pk), {"file": SimpleUploadedFile(name, data)})


def test_logbook_goes_in_by_two_steps(as_owner: Client, car: Car) -> None:
    first = upload(as_owner, car, GOOD)
    check = first.headers["Location"]  # type: ignore[attr-defined]
    page = as_owner.get(check).content.decode()
    assert "41,000" in page
    assert "These columns stay behind: Trip" in page
    assert not Reading.objects.exists()
    done = as_owner.post(check, sent(as_owner, check, **{"take-in": "1"}))
    assert said(done).startswith("2 readings were added.")
    assert Reading.objects.count() == 2
    assert not LogbookUpload.objects.exists()
    again = upload(as_owner, car, GOOD).headers["Location"]  # type: ignore[attr-defined]
    assert "All of it is there already" in as_owner.get(again).content.decode()
    as_owner.post(again, sent(as_owner, again, **{"take-in": "1"}))
    assert Reading.objects.count() == 2


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty"),
        (b"\n\n", "The file is empty"),
        (b"Date;Odometer\n", "no lines below"),
        (b"PK\x03\x04aaaa", "spreadsheet"),
        (b"\x00\x01\x02\x03", "no text file"),
        (b"one two three\nfour five six\n", "There are no columns"),
        (b"x" * (8 * 1024 * 1024 + 1), "larger than 8 MB"),
    ],
)
def test_file_that_is_no_logbook_is_refused(
    as_owner: Client, car: Car, data: bytes, words: str
) -> None:
    response = upload(as_owner, car, data)
    assert response.status_code == 422  # type: ignore[attr-defined]
    assert words in response.content.decode()  # type: ignore[attr-defined]
    assert not LogbookUpload.objects.exists()


def test_no_file_is_refused(as_owner: Client, car: Car) -> None:
    assert "Choose the file first" in as_owner.post(url("import", car.pk)).content.decode()


def test_what_the_file_leaves_open_is_asked(as_owner: Client, car: Car) -> None:
    data = b"Date;km\n03/05/2024;41000\n"
    check = upload(as_owner, car, data).headers["Location"]  # type: ignore[attr-defined]
    page = as_owner.get(check).content.decode()
    assert "Which column is which?" in page
    chosen = sent(as_owner, check, reading="2")
    page = as_owner.post(check, {**chosen, "look": "1"}).content.decode()
    assert "Day or month first?" in page
    assert "03/05/2024" in page
    chosen["dates"] = "day-first"
    page = as_owner.post(check, {**chosen, "look": "1"}).content.decode()
    assert "3 May 2024" in page
    assert "The logbook says km, the odometer counts miles." in page
    as_owner.post(check, {**chosen, "take-in": "1", "doubtful": "right"})
    assert Reading.objects.get().date == date(2024, 5, 3)


def test_doubtful_lines_are_shown_with_why_and_answered(as_owner: Client, car: Car) -> None:
    data = GOOD + b"2024-05-01;14,300;\n2024-05-09;much;\n"
    check = upload(as_owner, car, data).headers["Location"]  # type: ignore[attr-defined]
    page = as_owner.get(check).content.decode()
    assert "14,300 is less than the 41,250" in page
    assert "no number an odometer can show" in page
    refused = as_owner.post(check, sent(as_owner, check, **{"take-in": "1"}))
    assert refused.status_code == 422
    assert "Say whether they are right" in refused.content.decode()
    half = sent(as_owner, check, **{"take-in": "1", "doubtful": "leave-out"})
    refused = as_owner.post(check, half)
    assert "1 line cannot be read" in refused.content.decode()
    assert not Reading.objects.exists()
    given = {**half, "leave_out_unreadable": "on"}
    assert "2 lines were left out" in said(as_owner.post(check, given))
    assert Reading.objects.count() == 2


def test_choices_that_make_no_sense_harm_nothing(as_owner: Client, car: Car) -> None:
    check = upload(as_owner, car, GOOD).headers["Location"]  # type: ignore[attr-defined]
    for given in (
        {"look": "1", "reading": "99"},
        {"look": "1", "reading": "1", "date": "1"},
        {"look": "1", "dates": "backwards", "reading": "x"},
        {"take-in": "1", "doubtful": "maybe"},
    ):
        assert as_owner.post(check, given).status_code in (200, 422)
    assert not Reading.objects.exists()


def test_strangers_find_nothing(
    client: Client, unit: Unit, car: Car, owner: Person, stranger: Person, officer: Person,
    fitter: Person, other_fitter: Person,
) -> None:  # fmt: skip
    reading = record_reading(car=car, date=TODAY, shown=41_900, by=owner)
    kept = keep_upload(car=car, name="x.csv", content=GOOD, by=owner)
    spell = lay_up_car(car=car, date=TODAY, by=owner)
    pages = [
        url("logbook", car.pk), url("reading_new", car.pk), url("reading_edit", reading.pk),
        url("odometer_replace", car.pk), url("odometer_edit", car.pk), url("lay_up", car.pk),
        url("return", car.pk), url("import", car.pk), url("import_check", car.pk, kept.pk),
    ]  # fmt: skip
    for person in (stranger, officer, other_fitter, fitter):
        client.force_login(person)
        assert {client.get(page).status_code for page in pages} == {404}
        assert {client.post(page).status_code for page in pages[1:]} == {404}
        assert client.post(url("lay_up_cancel", spell.pk)).status_code == 404
    client.logout()
    assert {client.get(page).status_code for page in pages} == {302}


def test_workshop_with_consent_reads_the_logbook_and_keeps_nothing(
    client: Client, whole_unit: Unit, car: Car, owner: Person, fitter: Person
) -> None:
    record_reading(car=car, date=TODAY, shown=41_900, by=owner)
    client.force_login(fitter)
    page = client.get(url("logbook", car.pk))
    assert page.status_code == 200
    assert "Enter what it shows" not in page.content.decode()
    assert "Put right" not in page.content.decode()
    assert client.get(url("reading_new", car.pk)).status_code == 404
