from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisory.usage.logbook_csv import (
    Column,
    DateOrder,
    FileRefused,
    Flaw,
    Logbook,
    read_logbook,
)

TODAY = date(2024, 6, 10)


def read(text: str | bytes, **told: object) -> Logbook:
    data = text.encode() if isinstance(text, str) else text
    return read_logbook(data, today=TODAY, **told)  # type: ignore[arg-type]


def pairs(logbook: Logbook) -> list[tuple[date | None, int | None]]:
    return [(line.date, line.shown) for line in logbook.lines]


TWO = [(date(2024, 5, 3), 12_345), (date(2024, 5, 30), 12_400)]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_delimiters_and_line_ends(delimiter: str, end: str) -> None:
    rows = [("Date", "Odometer", "Note"), ("2024-05-03", "12345", ""), ("2024-05-30", "12400", "x")]
    logbook = read(end.join(delimiter.join(row) for row in rows))
    assert pairs(logbook) == TWO
    assert logbook.lines[1].note == "x"
    assert logbook.is_clear


@pytest.mark.parametrize(
    ("encoding", "note"),
    [
        ("utf-8", "Öl geprüft — 80 °C"),
        ("utf-8-sig", "Öl geprüft — 80 °C"),
        ("utf-16", "Öl geprüft — 80 °C"),
        ("latin-1", "Öl geprüft, 80 °C"),
        ("cp1252", "Öl geprüft \u2013 80 °C €"),
    ],
)
def test_encodings(encoding: str, note: str) -> None:
    text = f"Date;Odometer;Note\n2024-05-03;12345;{note}\n2024-05-30;12400;\n"
    logbook = read(text.encode(encoding))
    assert pairs(logbook) == TWO
    assert logbook.lines[0].note == note


@pytest.mark.parametrize(
    "written",
    ["12345", "12,345", "12 345", "12.345", "12'345", "12\u00a0345", "12345.6", "12345 mi"],
)
def test_numbers(written: str) -> None:
    logbook = read(f'Date,Odometer\n2024-05-03,"{written}"\n')
    assert logbook.lines[0].shown == 12_345


def test_thousands_comma_without_quotes_is_marked_and_never_cut() -> None:
    logbook = read("Date,Odometer\n2024-05-03,12,345\n2024-05-30,12400\n")
    assert [line.flaw for line in logbook.lines] == [Flaw.TOO_MANY_CELLS, None]


def test_semicolons_leave_thousands_commas_alone() -> None:
    logbook = read("Date;Odometer\n2024-05-03;12,345\n2024-05-30;12,400\n")
    assert pairs(logbook) == TWO


@pytest.mark.parametrize(
    "written",
    [
        "2024-05-30", "2024/05/30", "2024.05.30", "20240530", "30 May 2024", "30-May-24",
        "30th May 2024", "May 30, 2024", "Thu 30 May 2024", "Thursday, 30 May 2024",
        "2024-05-30 08:15", "2024-05-30T08:15:00Z", "30/05/2024", "30.05.2024", "30.5.24",
        "05/30/2024", "5/30/24", "30-05-2024", "30 05 2024", "30/05/2024 18:20",
    ],
)  # fmt: skip
def test_dates_that_can_only_mean_one_day(written: str) -> None:
    assert pairs(read(f"Date;Odometer\n{written};12400\n")) == [(date(2024, 5, 30), 12_400)]


def test_one_line_decides_for_the_whole_file() -> None:
    logbook = read("Date;Odometer\n03/05/2024;12345\n30/05/2024;12400\n")
    assert logbook.order is DateOrder.DAY_FIRST
    assert pairs(logbook) == TWO
    logbook = read("Date;Odometer\n05/03/2024;12345\n05/30/2024;12400\n")
    assert logbook.order is DateOrder.MONTH_FIRST
    assert pairs(logbook) == TWO


def test_order_that_the_file_leaves_open_is_asked_and_never_guessed() -> None:
    text = "Date;Odometer\n05/05/2024;12300\n03/05/2024;12345\n"
    logbook = read(text)
    assert not logbook.is_clear
    assert logbook.lines == ()
    assert logbook.orders == (DateOrder.DAY_FIRST, DateOrder.MONTH_FIRST)
    assert logbook.example == "03/05/2024"
    told = read(text, order=DateOrder.MONTH_FIRST)
    assert told.lines[1].date == date(2024, 3, 5)
    told = read(text, order=DateOrder.DAY_FIRST)
    assert told.lines[1].date == date(2024, 5, 3)


def test_order_that_does_not_matter_is_not_asked() -> None:
    logbook = read("Date;Odometer\n05/05/2024;12300\n06/06/2024;12345\n")
    assert logbook.is_clear
    assert logbook.lines[1].date == date(2024, 6, 6)


def test_year_first_with_two_figures_is_asked() -> None:
    logbook = read("Date;Odometer\n12-05-03;12300\n")
    assert set(logbook.orders) == set(DateOrder)
    told = read("Date;Odometer\n12-05-03;12300\n", order=DateOrder.ISO)
    assert told.lines[0].date == date(2012, 5, 3)


def test_file_that_contradicts_itself_is_asked_and_then_marked() -> None:
    text = "Date;Odometer\n30/05/2024;12345\n05/31/2024;12400\n"
    logbook = read(text)
    assert logbook.orders == tuple(DateOrder)
    told = read(text, order=DateOrder.DAY_FIRST)
    assert [line.flaw for line in told.lines] == [None, Flaw.DATE_UNREADABLE]


def test_garbage_date_does_not_decide() -> None:
    logbook = read("Date;Odometer\n31/02/2024;12300\n30/05/2024;12400\n")
    assert logbook.order is DateOrder.DAY_FIRST
    assert [line.flaw for line in logbook.lines] == [Flaw.DATE_UNREADABLE, None]


def test_year_with_two_figures_is_one_that_has_been() -> None:
    logbook = read("Date;Odometer\n30/5/65;12300\n30/5/24;12400\n30/5/25;12500\n")
    assert [line.date and line.date.year for line in logbook.lines] == [1965, 2024, 1925]


@pytest.mark.parametrize(
    "heading", ["Odometer", "ODO", "Odometer reading", "odometer (miles)", "Odo_km", "Mileage",
                "Reading", "Total miles", "Milometer"]
)  # fmt: skip
def test_headings_of_the_reading(heading: str) -> None:
    logbook = read(f"Trip;{heading};When;Remarks\n9;12345;2024-05-03;dry\n")
    assert logbook.columns == {Column.READING: 1, Column.DATE: 2, Column.NOTE: 3}


def test_clearer_heading_wins() -> None:
    logbook = read("Date;Mileage;Odometer\n2024-05-03;30;12345\n")
    assert logbook.columns[Column.READING] == 2


@pytest.mark.parametrize("heading", ["Miles", "km", "Stand", "Odometer;Odo"])
def test_unclear_heading_is_asked_about(heading: str) -> None:
    text = f"Date;{heading}\n2024-05-03;12345;12345\n"
    logbook = read(text)
    assert logbook.unclear == (Column.READING,)
    assert not logbook.is_clear
    told = read(text, columns={Column.READING: "2"})
    assert told.is_clear
    named = read(text, columns={Column.READING: heading.partition(";")[0].upper()})
    assert named.columns[Column.READING] == 1


def test_file_without_headings_is_asked_about() -> None:
    logbook = read("2024-05-03;12345\n2024-05-30;12400\n")
    assert logbook.headings == ("Column 1", "Column 2")
    assert logbook.unclear == (Column.DATE, Column.READING)
    told = read(
        "2024-05-03;12345\n2024-05-30;12400\n", columns={Column.DATE: "1", Column.READING: "2"}
    )
    assert pairs(told) == TWO


def test_notes_stay_behind_when_the_person_says_so() -> None:
    text = "Date;Odometer;Note\n2024-05-03;12345;private\n"
    assert read(text, columns={Column.NOTE: ""}).lines[0].note == ""


def test_column_that_is_not_there_is_said() -> None:
    with pytest.raises(FileRefused, match="The columns are: Date, Odometer"):
        read("Date;Odometer\n2024-05-03;1\n", columns={Column.READING: "Miles"})
    with pytest.raises(FileRefused, match="two things"):
        read("Date;Odometer\n2024-05-03;1\n", columns={Column.DATE: "1", Column.READING: "1"})


def test_unit_in_the_heading_or_cell_is_told() -> None:
    assert read("Date;Odometer (km)\n2024-05-03;1\n").unit == "km"
    assert read("Date;km\n2024-05-03;1\n", columns={Column.READING: "2"}).unit == "km"
    assert read("Date;Odometer\n2024-05-03;1\n").unit is None
    assert read("Date;Odometer\n2024-05-03;12 km\n").lines[0].unit == "km"


def test_quoted_cells_hold_delimiters_quotes_and_line_breaks() -> None:
    text = 'Date,Odometer,Note\n2024-05-03,"12,345","said ""fine"",\nthen rain"\n2024-05-30,12400,'
    logbook = read(text)
    assert pairs(logbook) == TWO
    assert logbook.lines[0].note == 'said "fine",\nthen rain'
    assert [line.number for line in logbook.lines] == [2, 4]


def test_inch_mark_in_a_note_is_no_quotation() -> None:
    logbook = read('Date,Odometer,Note\n2024-05-03,12345,new 19" tyre\n2024-05-30,12400,\n')
    assert logbook.lines[0].note == 'new 19" tyre'


def test_blank_lines_and_empty_cells() -> None:
    logbook = read("Date;Odometer;\n\n2024-05-03;12345;\n;;\n;12350;\n2024-05-09;;\nTotal;99;\n")
    assert [(line.number, line.flaw) for line in logbook.lines] == [
        (3, None), (5, Flaw.NO_DATE), (6, Flaw.NO_NUMBER), (7, Flaw.DATE_UNREADABLE),
    ]  # fmt: skip


@pytest.mark.parametrize("written", ["-5", "n/a", "12,34", "1e4", "?"])
def test_what_is_no_number_is_marked(written: str) -> None:
    logbook = read(f"Date;Odometer\n2024-05-03;{written}\n2024-05-30;12400\n")
    assert logbook.lines[0].flaw is Flaw.NUMBER_UNREADABLE
    assert logbook.lines[0].shown_text == written


def test_separator_line_of_a_spreadsheet_is_no_heading() -> None:
    logbook = read("sep=;\nDate;Odometer\n2024-05-03;12345\n2024-05-30;12400\n")
    assert pairs(logbook) == TWO
    assert logbook.lines[0].number == 3


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf\r\n  \r\n", "empty"),
        (b"Date;Odometer\n", "no_lines"),
        (b"Date;Odometer\n\n;;\n", "no_lines"),
        (b"just a letter\nto nobody\n", "no_columns"),
        (b"PK\x03\x04\x14\x00\x06\x00", "spreadsheet"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF\x00", "not_text"),
        (bytes(range(256)) * 20, "not_text"),
        (b'Date;Odometer\n2024-05-03;"12345\n2024-05-30;12400\n', "quote_open"),
        (b"x" * (8 * 1024 * 1024 + 1), "too_large"),
    ],
)
def test_file_that_is_no_logbook_is_refused_with_what_to_do(data: bytes, code: str) -> None:
    with pytest.raises(FileRefused) as refused:
        read(data)
    assert refused.value.code == code
    assert refused.value.message.endswith(".")


def test_fifty_thousand_lines_are_all_read() -> None:
    lines = "".join(f"{1 + i % 28:02}/0{1 + i % 9}/20{i % 24:02};{i}\n" for i in range(50_000))
    logbook = read("Date;Odometer\n" + lines)
    assert len(logbook.lines) == 50_000
    assert not any(line.flaw for line in logbook.lines)


@given(st.binary(max_size=400))
def test_any_bytes_are_a_logbook_or_refused(data: bytes) -> None:
    try:
        logbook = read(data)
    except FileRefused as refused:
        message = refused.message
    else:
        message = "read"
        assert not logbook.is_clear or logbook.lines
    assert message


@given(
    st.lists(
        st.tuples(st.dates(date(1950, 1, 1), TODAY), st.integers(0, 999_999)),
        min_size=1, max_size=30,
    ),
    st.sampled_from([("%d/%m/%Y", DateOrder.DAY_FIRST), ("%m/%d/%Y", DateOrder.MONTH_FIRST),
                     ("%Y-%m-%d", DateOrder.ISO), ("%d %b %Y", DateOrder.DAY_FIRST)]),
    st.sampled_from([";", "\t"]),
)  # fmt: skip
def test_what_was_written_is_read_back_once_the_order_is_told(
    written: list[tuple[date, int]], form: tuple[str, DateOrder], delimiter: str
) -> None:
    pattern, order = form
    rows = "".join(f"{day.strftime(pattern)}{delimiter}{shown:,}\n" for day, shown in written)
    text = f"Date{delimiter}Odometer\n{rows}"
    assert pairs(read(text, order=order)) == written
    unasked = read(text)
    # never a silent guess: read unasked, it says the same or asks
    assert not unasked.lines or pairs(unasked) == written
