"""The calendar feed, read back by two parsers that are not ours to write: icalendar and vobject.

RFC 5545: lines end in CRLF and have at most 75 octets (3.1); COMMA, SEMICOLON, BACKSLASH and line
breaks in a text are escaped (3.3.11); an all-day entry's DTEND is the day after (3.6.1).
"""

import zoneinfo
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import pytest
import vobject
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from advisory.common.errors import NotAllowed, Refused
from advisory.common.models import AuditEntry
from advisory.notices.actions.feeds import MOST_FEEDS, make_feed, revoke_feed
from advisory.notices.calendar import CALLED_OFF_FOR, Told, calendar_of
from advisory.notices.models import CalendarEntry, CalendarFeed
from advisory.people.clock import today_of
from advisory.plans.actions import mark_done, refresh_plan
from advisory.plans.enums import DueState
from advisory.plans.models import PlanItem
from advisory.register.enums import WorkKind
from advisory.usage.models import LayUp
from tests.notices.conftest import make_item

pytestmark = pytest.mark.django_db

CHANGED = datetime(2024, 5, 1, 10, 30, 15, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _at_an_https_address(settings) -> None:
    settings.BASE_URL = "https://advisory.example"
    settings.ALLOWED_HOSTS = ["testserver"]


@pytest.fixture
def feed(owner) -> CalendarFeed:
    return make_feed(by=owner)


def url_of(feed: CalendarFeed) -> str:
    return reverse("notices:feed", args=[feed.secret])


def body(feed: CalendarFeed) -> bytes:
    response = Client().get(url_of(feed))
    assert response.status_code == 200
    return response.content


def events(feed: CalendarFeed) -> list[icalendar.Event]:
    return list(icalendar.Calendar.from_ical(body(feed)).walk("VEVENT"))


def test_the_whole_plan_stands_in_it_as_days(feed, unit) -> None:
    make_item(unit, WorkKind.OIL_CHANGE, forecast_date=date(2026, 6, 1))
    make_item(unit, WorkKind.PIPE_CHECK, DueState.AHEAD, forecast_date=date(2026, 9, 30))

    first, second = events(feed)

    assert (first["DTSTART"].dt, first["DTEND"].dt) == (date(2026, 6, 1), date(2026, 6, 2))
    assert (second["DTSTART"].dt, second["DTEND"].dt) == (date(2026, 9, 30), date(2026, 10, 1))
    assert first["SUMMARY"] == "Oil change: Pattern 4 blower 0417"
    assert first["URL"] == f"https://advisory.example/units/{unit.pk}/plan/oil_change/"
    assert first["TRANSP"] == "TRANSPARENT"


def test_a_second_parser_reads_the_same(feed, unit) -> None:
    make_item(unit, forecast_date=date(2026, 6, 1), reasons=[{"code": "no_reading"}])

    calendar = vobject.readOne(body(feed).decode())

    (event,) = calendar.vevent_list
    assert event.dtstart.value == date(2026, 6, 1)
    assert event.dtend.value == date(2026, 6, 2)
    assert event.summary.value == "Oil change: Pattern 4 blower 0417"
    assert "Without an odometer reading" in event.description.value
    assert "Hot oil burns" in event.description.value
    assert [alarm.trigger.value for alarm in event.valarm_list] == [
        timedelta(days=-7, hours=9),
        timedelta(hours=9),
    ]
    assert {alarm.action.value for alarm in event.valarm_list} == {"DISPLAY"}


def test_what_it_must_have_it_has(feed, unit) -> None:
    """RFC 5545, 3.6 and 3.6.1: PRODID, VERSION; UID and DTSTAMP of each entry, each once."""
    item = make_item(unit, updated_at=CHANGED)

    calendar = icalendar.Calendar.from_ical(body(feed))
    (event,) = calendar.walk("VEVENT")

    assert calendar["VERSION"] == "2.0"
    assert calendar["PRODID"]
    assert "METHOD" not in calendar
    assert event["UID"] == f"plan-item-{item.pk}@advisory.example"
    assert event["DTSTAMP"].dt == event["LAST-MODIFIED"].dt == CHANGED
    for name in ("UID", "DTSTAMP", "DTSTART", "SUMMARY", "SEQUENCE"):
        assert not isinstance(event[name], list)


def test_a_change_keeps_the_uid_and_raises_the_sequence(feed, unit) -> None:
    item = make_item(unit, updated_at=CHANGED, forecast_date=date(2026, 6, 1))
    (before,) = events(feed)

    PlanItem.objects.filter(pk=item.pk).update(
        forecast_date=date(2026, 6, 20), updated_at=CHANGED + timedelta(seconds=1)
    )
    (after,) = events(feed)

    assert after["UID"] == before["UID"]
    assert after["DTSTART"].dt == date(2026, 6, 20)
    assert after["SEQUENCE"] == before["SEQUENCE"] + 1
    assert after["LAST-MODIFIED"].dt > before["LAST-MODIFIED"].dt


def by_both_parsers(feed: CalendarFeed) -> tuple[icalendar.Event, object]:
    """Return the one entry as each parser reads it."""
    raw = body(feed)
    (first,) = icalendar.Calendar.from_ical(raw).walk("VEVENT")
    (second,) = vobject.readOne(raw.decode()).vevent_list
    assert str(first["UID"]) == second.uid.value
    assert first["SEQUENCE"] == int(second.sequence.value)
    assert str(first["STATUS"]) == second.status.value
    return first, second


@pytest.mark.parametrize("how", ["not in force", "resting", "laid up", "sold", "gone"])
def test_what_vanishes_is_called_off_with_a_higher_sequence(
    feed, unit, car, second_owner, how
) -> None:
    item = make_item(unit, updated_at=CHANGED, forecast_date=date(2026, 6, 1))
    before, _second = by_both_parsers(feed)
    assert before["STATUS"] == "CONFIRMED"

    if how == "not in force":
        PlanItem.objects.filter(pk=item.pk).update(in_force=False)
    if how == "resting":
        PlanItem.objects.filter(pk=item.pk).update(state=DueState.RESTING)
    if how == "laid up":
        LayUp.objects.create(car=car, from_date=date(2024, 1, 1))
    if how == "sold":
        unit.owner, unit.name = second_owner, "Renamed by its new owner"
        unit.save()
    if how == "gone":
        item.delete()
    after, _second = by_both_parsers(feed)

    assert after["STATUS"] == "CANCELLED"
    assert after["UID"] == before["UID"]
    assert after["SEQUENCE"] > before["SEQUENCE"]
    assert after["DTSTAMP"].dt > before["DTSTAMP"].dt
    assert after["SUMMARY"] == before["SUMMARY"]
    assert not after.walk("VALARM")
    assert by_both_parsers(feed)[0]["SEQUENCE"] == after["SEQUENCE"]  # once called off, it stays so


def test_what_comes_back_counts_on(feed, unit, car) -> None:
    make_item(unit, updated_at=CHANGED, forecast_date=date(2026, 6, 1))
    body(feed)
    lay_up = LayUp.objects.create(car=car, from_date=date(2024, 1, 1))
    (called_off,) = events(feed)
    lay_up.delete()

    (again,) = events(feed)

    assert (again["STATUS"], again["UID"]) == ("CONFIRMED", called_off["UID"])
    assert again["SEQUENCE"] > called_off["SEQUENCE"]


def test_two_calendars_of_a_person_have_the_same_sequence(feed, unit, owner) -> None:
    make_item(unit, updated_at=CHANGED)
    second = make_feed(by=owner)
    body(feed)
    unit.name = "Spare blower"
    unit.save()

    assert events(feed)[0]["SEQUENCE"] == events(second)[0]["SEQUENCE"]
    assert CalendarEntry.objects.count() == 1


def test_what_was_called_off_long_ago_is_left_out(feed, unit) -> None:
    item = make_item(unit)
    body(feed)
    item.delete()
    assert len(events(feed)) == 1
    CalendarEntry.objects.update(cancelled_at=timezone.now() - CALLED_OFF_FOR)

    assert events(feed) == []


def test_to_read_it_again_writes_nothing(feed, unit) -> None:
    make_item(unit)
    first = body(feed)
    with CaptureQueriesContext(connection) as caught:
        assert body(feed) == first
    assert not [each for each in caught if each["sql"].startswith(("INSERT", "UPDATE"))]


def test_a_sequence_fits_into_its_integer(feed, unit) -> None:
    make_item(unit, updated_at=datetime(2090, 1, 1, tzinfo=UTC))

    # RFC 5545, 3.3.8: -2147483648 to 2147483647
    assert events(feed)[0]["SEQUENCE"] < 2**31


@pytest.mark.parametrize(
    "name",
    [
        "Blower; front, left\\right",
        "Line one\nline two\r\nBEGIN:VEVENT",
        "Überholter Lader №7 " + "ä" * 80,
        "A" * 119,
    ],
    ids=["marks", "line breaks", "not ascii", "long"],
)
def test_names_come_back_as_they_were_from_both_parsers(feed, unit, name) -> None:
    unit.name = name
    unit.save()
    make_item(unit)

    raw = body(feed)
    (event,) = events(feed)
    (second,) = vobject.readOne(raw.decode()).vevent_list

    expected = f"Oil change: {name}".replace("\r\n", "\n")
    assert event["SUMMARY"] == expected
    assert second.summary.value == expected
    assert raw.count(b"\r\nBEGIN:VEVENT\r\n") == 1
    lines = raw.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert b"\n" not in b"".join(lines)


@pytest.mark.parametrize(
    "fields",
    [
        {"state": DueState.RESTING},
        {"in_force": False},
        {"forecast_date": None},
    ],
)
def test_what_rests_or_has_no_day_is_left_out(feed, unit, fields) -> None:
    make_item(unit, **fields)

    assert events(feed) == []


def test_while_the_car_is_laid_up_only_its_own_work_is_in_it(feed, unit, car) -> None:
    make_item(unit, WorkKind.OIL_CHANGE)
    make_item(unit, WorkKind.COOLANT_STRENGTH)
    LayUp.objects.create(car=car, from_date=date(2024, 1, 1))

    assert [event["SUMMARY"].split(":")[0] for event in events(feed)] == ["Coolant strength"]


def test_only_the_persons_own_units_are_in_it(feed, unit, make_owner) -> None:
    make_owner("Other One", WorkKind.OIL_CHANGE)
    make_item(unit)

    assert len(events(feed)) == 1


def test_a_unit_that_was_sold_is_no_longer_in_it(feed, unit, second_owner) -> None:
    make_item(unit)
    unit.owner = second_owner
    unit.save()

    assert events(feed) == []


def test_a_fitter_sees_no_owners_plan_in_their_feed(whole_unit, fitter) -> None:
    make_item(whole_unit)

    assert events(make_feed(by=fitter)) == []


def test_a_revoked_address_is_not_found(feed, owner) -> None:
    revoke_feed(feed=feed, by=owner)

    assert Client().get(url_of(feed)).status_code == 404


def test_the_address_of_who_has_left_is_not_found(feed, owner) -> None:
    owner.is_active = False
    owner.save()

    assert Client().get(url_of(feed)).status_code == 404


def test_an_address_that_nobody_made_is_not_found(db) -> None:
    assert Client().get("/calendar/guess.ics").status_code == 404


def test_an_address_cannot_be_guessed(owner) -> None:
    secrets = {make_feed(by=owner).secret for _ in range(5)}

    assert len(secrets) == 5
    assert min(map(len, secrets)) >= 32  # 24 bytes at random


def test_who_has_it_already_gets_no_second_copy(feed, unit) -> None:
    make_item(unit)
    first = Client().get(url_of(feed))
    assert first["Content-Type"] == "text/calendar; charset=utf-8"
    assert "private" in first["Cache-Control"]

    for headers in (
        {"If-None-Match": first["ETag"]},
        {"If-None-Match": f'W/{first["ETag"]}, "other"'},
        {"If-Modified-Since": first["Last-Modified"]},
    ):
        again = Client().get(url_of(feed), headers=headers)
        assert again.status_code == 304
        assert again.content == b""


@pytest.mark.parametrize("change", ["day", "name", "reasons", "sold"])
def test_whatever_changes_it_a_new_copy_is_given(feed, unit, owner, second_owner, change) -> None:
    item = make_item(unit)
    etag = Client().get(url_of(feed))["ETag"]
    if change == "day":
        item.forecast_date += timedelta(days=1)
        item.save()
    if change == "name":
        unit.name = "Spare blower"
    if change == "sold":
        unit.owner = second_owner
    unit.save()
    if change == "reasons":
        item.reasons = [{"code": "no_reading"}]
        item.save()

    assert Client().get(url_of(feed), headers={"If-None-Match": etag}).status_code == 200


def test_a_later_date_is_not_taken_for_the_same_copy(feed, unit) -> None:
    make_item(unit)

    later = {"If-Modified-Since": "Fri, 01 Jan 2100 00:00:00 GMT"}

    assert Client().get(url_of(feed), headers=later).status_code == 200


def test_a_feed_takes_the_same_queries_with_one_item_and_with_three(feed, unit) -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as caught:
            body(feed)
        return len(caught)

    make_item(unit, WorkKind.OIL_CHANGE)
    one = queries()
    make_item(unit, WorkKind.PIPE_CHECK)
    make_item(unit, WorkKind.SEAL_WEEP)

    assert queries() == one


def test_making_and_revoking_is_noted_once(owner) -> None:
    feed = make_feed(by=owner)
    revoke_feed(feed=feed, by=owner)
    revoke_feed(feed=feed, by=owner)

    assert list(AuditEntry.objects.order_by("id").values_list("action", flat=True)) == [
        "make_feed",
        "revoke_feed",
    ]


@pytest.mark.parametrize("who", ["stranger", "fitter", "second_owner"])
def test_nobody_else_revokes_it(feed, request, who) -> None:
    with pytest.raises(NotAllowed):
        revoke_feed(feed=feed, by=request.getfixturevalue(who))


def test_so_many_and_no_more(owner) -> None:
    for _ in range(MOST_FEEDS):
        make_feed(by=owner)

    with pytest.raises(Refused, match="10 addresses already"):
        make_feed(by=owner)


def all_by_both_parsers(raw: bytes) -> tuple[dict[str, icalendar.Event], dict[str, Any]]:
    """Return the entries by their UID, as each parser reads them."""
    first = {str(one["UID"]): one for one in icalendar.Calendar.from_ical(raw).walk("VEVENT")}
    second = {one.uid.value: one for one in vobject.readOne(raw.decode()).vevent_list}
    assert first.keys() == second.keys()
    return first, second


@pytest.mark.parametrize("zone", ["Europe/London", "Pacific/Auckland", "America/St_Johns"])
def test_what_recurs_moves_on_with_each_doing(feed, whole_unit, owner, zone) -> None:
    """Work that comes round is one entry at its next day: a fixed rule would part from the plan."""
    owner.zone = zone
    owner.save()
    refresh_plan(unit=whole_unit)
    uid = f"plan-item-{whole_unit.plan_items.get(work=WorkKind.SEAL_WEEP).pk}@advisory.example"
    told = []
    for _round in range(3):
        raw = body(feed)
        first, second = all_by_both_parsers(raw)
        assert b"RRULE" not in raw
        assert first[uid]["DTSTART"].dt == second[uid].dtstart.value
        assert first[uid]["DTSTAMP"].dt == second[uid].dtstamp.value
        told.append((first[uid]["DTSTART"].dt, first[uid]["SEQUENCE"]))
        done_on = today_of(owner) - timedelta(days=30 - 10 * _round)
        mark_done(unit=whole_unit, work=WorkKind.SEAL_WEEP, date=done_on, by=owner, confirm=True)
    assert told == sorted(set(told))  # later days, higher sequences


#: What a text may hold: line breaks and the format's own marks too.
TEXTS = st.lists(
    st.sampled_from(["oil", "Ä", "№", "\n", ",", ";", ":", "\\", '"', " ", "🛢", "a" * 40, "\\n"]),
    max_size=9,
).map("".join)
#: On either side of the world and of the date line, with summer times that end on other days.
ZONES = ("Europe/London", "Pacific/Auckland", "America/St_Johns", "Pacific/Chatham", "UTC")
MOMENTS = st.builds(
    datetime.fromtimestamp,
    st.integers(int(CHANGED.timestamp()), int(CHANGED.timestamp()) + 2**31),
    st.sampled_from([zoneinfo.ZoneInfo(zone) for zone in ZONES]),
)


@given(
    rows=st.lists(
        st.tuples(st.dates(date(2000, 1, 1), date(2099, 12, 30)), TEXTS, TEXTS, MOMENTS), max_size=4
    )
)
def test_whatever_is_written_both_parsers_read_the_same(
    rows: list[tuple[date, str, str, datetime]],
) -> None:
    entries, told = [], []
    for key, (day, summary, why, at) in enumerate(rows):
        entries.append(
            CalendarEntry(item_key=key, sequence=key, changed_at=at, day=day, summary=summary)
        )
        told.append(Told(key, day, summary, why, "https://advisory.example/units/1/", at))
    raw = calendar_of(entries, told)

    assert max(map(len, raw.split(b"\r\n"))) <= 75
    if not rows:
        return
    first, second = all_by_both_parsers(raw)
    for key, (day, summary, why, at) in enumerate(rows):
        uid = next(one for one in first if one.startswith(f"plan-item-{key}@"))
        one, other = first[uid], second[uid]
        assert (one["DTSTART"].dt, one["DTEND"].dt) == (day, day + timedelta(days=1))
        assert (other.dtstart.value, other.dtend.value) == (day, day + timedelta(days=1))
        stamp = at.replace(microsecond=0)
        assert one["DTSTAMP"].dt == other.dtstamp.value == stamp
        assert str(one["SUMMARY"]) == other.summary.value == summary
        assert str(one["DESCRIPTION"]) == other.description.value == why
