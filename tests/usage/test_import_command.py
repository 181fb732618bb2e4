import io
from datetime import date
from pathlib import Path

import pytest
import time_machine
from django.core.management import CommandError, call_command

from advisory.people.models import Person
from advisory.register.models import Car, Design, Unit
from advisory.usage.models import Reading
from tests.cast import make_unit

GOOD = "Date;Odometer;Note\n2024-03-01;41,900;\n2024-04-01;42,250;wet\n"


@pytest.fixture(autouse=True)
def _today() -> object:
    with time_machine.travel("2024-06-10T12:00:00Z", tick=False):
        yield


def run(tmp_path: Path, unit: Unit, text: str | bytes, *args: str) -> str:
    file = tmp_path / "log.csv"
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    out, err = io.StringIO(), io.StringIO()
    call_command("import_logbook", str(file), "--unit", str(unit.pk), *args, stdout=out, stderr=err)
    return out.getvalue() + err.getvalue()


def test_logbook_goes_in_for_the_units_car(tmp_path: Path, unit: Unit, owner: Person) -> None:
    assert "Added 2, there already 0, left out 0." in run(tmp_path, unit, GOOD, "--yes")
    assert Reading.objects.get(shown=42_250).entered_by == owner
    assert "Added 0, there already 2, left out 0." in run(tmp_path, unit, GOOD)


def test_dry_run_keeps_nothing(tmp_path: Path, unit: Unit) -> None:
    said = run(tmp_path, unit, GOOD, "--dry-run")
    assert "2 new, 0 there already, 0 doubtful, 0 not readable" in said
    assert not Reading.objects.exists()


def test_nobody_to_ask_keeps_nothing(
    tmp_path: Path, unit: Unit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("y\n"))
    with pytest.raises(CommandError, match="--yes"):
        run(tmp_path, unit, GOOD)
    assert not Reading.objects.exists()


@pytest.mark.parametrize(("answer", "kept"), [("y\n", 2), ("\n", 0), ("no\n", 0)])
def test_person_at_the_terminal_is_asked(
    tmp_path: Path, unit: Unit, monkeypatch: pytest.MonkeyPatch, answer: str, kept: int
) -> None:
    stdin = io.StringIO(answer)
    monkeypatch.setattr(stdin, "isatty", lambda: True)
    monkeypatch.setattr("sys.stdin", stdin)
    if kept:
        assert "Take it in?" in run(tmp_path, unit, GOOD)
    else:
        with pytest.raises(CommandError, match="Nothing was kept"):
            run(tmp_path, unit, GOOD)
    assert Reading.objects.count() == kept


def test_standard_input_is_read(unit: Unit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(GOOD.encode())))
    call_command("import_logbook", "-", "--unit", str(unit.pk), "--yes", stdout=io.StringIO())
    assert Reading.objects.count() == 2


def test_order_of_dates_is_asked_for_and_taken(tmp_path: Path, unit: Unit) -> None:
    text = "Date;Odometer\n03/05/2024;42000\n"
    with pytest.raises(CommandError, match=r"03/05/2024.*--dates.*day-first, month-first"):
        run(tmp_path, unit, text, "--yes")
    run(tmp_path, unit, text, "--yes", "--dates", "month-first")
    assert Reading.objects.get().date == date(2024, 3, 5)


def test_columns_are_asked_for_and_taken(tmp_path: Path, unit: Unit) -> None:
    text = "Tag;Stand\n2024-05-03;42000\n"
    with pytest.raises(CommandError, match=r"date, reading.*--map date=2.*Tag, Stand"):
        run(tmp_path, unit, text, "--yes")
    with pytest.raises(CommandError, match="There is no column “Mark”"):
        run(tmp_path, unit, text, "--yes", "--map", "date=Mark", "--map", "reading=2")
    for odd in ("date", "colour=2", "date="):
        with pytest.raises(CommandError, match="WHAT=COLUMN"):
            run(tmp_path, unit, text, "--yes", "--map", odd)
    run(tmp_path, unit, text, "--yes", "--map", "date=Tag", "--map", "reading=2")
    assert Reading.objects.get().shown == 42_000


def test_doubtful_and_unreadable_lines_say_how_to_go_on(tmp_path: Path, unit: Unit) -> None:
    text = GOOD + "2024-05-01;4,300;\n2024-05-09;much;\n"
    with pytest.raises(CommandError, match="--leave-out-unreadable"):
        run(tmp_path, unit, text, "--yes")
    with pytest.raises(CommandError, match="--doubtful=right"):
        run(tmp_path, unit, text, "--yes", "--leave-out-unreadable")
    assert not Reading.objects.exists()
    said = run(tmp_path, unit, text, "--yes", "--leave-out-unreadable", "--doubtful", "leave-out")
    assert "line 4: 2024-05-01 4,300: 4,300 is less than" in said
    assert "Added 2, there already 0, left out 2." in said


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("Date;Odometer\n", "no lines"),
        (bytes(range(200)), "no text file"),
        ("Datum öl;1\n".encode("latin-1") * 2, "Use --map"),
    ],
)
def test_file_that_is_no_logbook_is_said(
    tmp_path: Path, unit: Unit, text: str | bytes, words: str
) -> None:
    with pytest.raises(CommandError, match=words):
        run(tmp_path, unit, text, "--yes")


def test_file_that_is_not_there_is_said(unit: Unit) -> None:
    with pytest.raises(CommandError, match="No such file"):
        call_command("import_logbook", "/nowhere/log.csv", "--unit", str(unit.pk))


def test_unit_without_owner_or_car_is_said(
    tmp_path: Path, owner: Person, design: Design, car: Car
) -> None:
    with pytest.raises(CommandError, match="no owner"):
        run(tmp_path, make_unit(None, design, serial="1"), GOOD)
    with pytest.raises(CommandError, match="in no car"):
        run(tmp_path, make_unit(owner, design, serial="2"), GOOD)
    with pytest.raises(CommandError, match="no unit 99999"):
        call_command("import_logbook", "-", "--unit", "99999")
