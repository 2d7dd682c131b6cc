"""Weather files in three layouts, their faults, gaps, forecast, and heat units.

The layouts are those of the archive's own readme files (GHCN-Daily: by-year, by-station,
daily summaries).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from math import cos, pi
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.weather import (
    Day,
    Origin,
    Units,
    WeatherFile,
    WrongWeather,
    heat_since,
    read,
    read_lines,
    season,
)
from rules.agronomy.tables import load
from rules.model import WrongWords

TABLES = load()
STATION = "USX00000001"  # invented
TODAY = date(2027, 7, 28)


def read_text(text: str, **how: object) -> WeatherFile:
    return read_lines(text.splitlines(keepends=True), "w.csv", **how)  # type: ignore[arg-type]


def faults_of(text: str, **how: object) -> dict[str, str]:
    with pytest.raises(WrongWeather) as caught:
        read_text(text, **how)
    return {fault.record: fault.message for fault in caught.value.faults}


# ---------------------------------------------------------------- GHCN-Daily, one reading a line

BY_READING = f"""\
{STATION},20270501,TMAX,300,,,W,2400
{STATION},20270501,TMIN,150,,,W,2400
{STATION},20270501,PRCP,254,,,W,2400
{STATION},20270501,SNOW,0,,,W,
{STATION},20270502,TMAX,999,,X,W,2400
{STATION},20270502,TMIN,-56,H,,W,
"""


def test_tenths_become_fahrenheit_and_inches() -> None:
    """30.0 C = 86 F, 15.0 C = 59 F, 25.4 mm = 1 in (by definition)."""
    first, second = read_text(BY_READING).days
    assert (first.on, first.high_f, first.low_f, first.rain_in) == (
        date(2027, 5, 1),
        pytest.approx(86),
        pytest.approx(59),
        pytest.approx(1),
    )
    assert (second.high_f, second.low_f) == (None, pytest.approx(21.92))


def test_a_value_with_a_quality_flag_is_left_out_and_counted() -> None:
    file = read_text(BY_READING)
    assert file.flagged == (("TMAX", 1),)
    assert file.notes == ("1 TMAX left out: the archive's own checks doubt them",)


def test_headings_make_no_difference() -> None:
    head = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n"
    assert read_text(head + BY_READING) == read_text(BY_READING)


def test_of_a_file_of_a_year_one_station_is_read() -> None:
    other = BY_READING.replace(STATION, "USX00000002").replace(",300,", ",200,")
    with pytest.raises(WrongWords, match="2 stations"):
        read_text(BY_READING + other)
    file = read_text(BY_READING + other, station="USX00000002")
    assert (file.station, file.days[0].high_f) == ("USX00000002", pytest.approx(68))
    with pytest.raises(WrongWords, match="nothing of the station 'X'"):
        read_text(BY_READING, station="X")


def test_faults_of_readings_are_listed_with_their_lines() -> None:
    found = faults_of(
        f"{STATION},20270501,TMAX,300,,,W,\n"
        f"{STATION},20270501,TMIN,hot,,,W,\n"
        f"{STATION},20271301,TMIN,150,,,W,\n"
        f"{STATION},20270502,TMAX,900,,,W,\n"
        f"{STATION},20270501,TMAX,301,,,W,\n"
        f"{STATION},20270503,PRCP,-1,,,W,\n"
        f"{STATION},20270504,TMIN,200,,,W,\n"
        f"{STATION},20270504,TMAX,100,,,W,\n"
        f"{STATION},20270504\n"
        f"{STATION},20270505,TMIN,20.5,,,W,\n"
    )
    assert found["line 2"] == "TMIN 'hot' is no number"
    assert found["line 3"].startswith("'20271301' is no date")
    assert found["line 4"] == "the high, TMAX 900 (194 F), is impossible; allowed is -60 to 130 F"
    assert found["line 5"] == "the high of 2027-05-01 stands in line 1 already"
    assert found["line 6"].startswith("the rain, PRCP -1")
    assert found["line 8"].startswith("the high of 2027-05-04, TMAX 100 (50 F), is below its low, TMIN 200")
    assert found["line 9"].startswith("2 cells")
    assert "cannot be tenths" in found["line 10"]
    assert len(found) == 8


# ---------------------------------------------------------------- GHCN-Daily, one day a line

BY_DAY = (
    '"STATION","DATE","NAME","PRCP","PRCP_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"\n'
    f'"{STATION}","2027-05-01","NOWHERE, IA US","  254",",,W,2400","  300",",,W,2400","  150",",,W,2400"\n'
    f'"{STATION}","2027-05-02","NOWHERE, IA US","","","  999",",X,W,2400","  -56","H,,W"\n'
)


def test_one_day_a_line_gives_the_same_days() -> None:
    assert read_text(BY_DAY).days == read_text(BY_READING).days
    assert read_text(BY_DAY).flagged == (("TMAX", 1),)


@pytest.mark.parametrize(
    ("units", "row"),
    [(Units.METRIC, "30.0,15.0,25.4"), (Units.STANDARD, "86,59,1.00"), (None, "300,150,254")],
)
def test_the_units_that_were_told(units: Units | None, row: str) -> None:
    (day,) = read_text(f"STATION,DATE,TMAX,TMIN,PRCP\n{STATION},2027-05-01,{row}\n", units=units).days
    assert (day.high_f, day.low_f, day.rain_in) == (
        pytest.approx(86),
        pytest.approx(59),
        pytest.approx(1),
    )


def test_figures_with_a_point_are_no_tenths() -> None:
    found = faults_of(f"STATION,DATE,TMAX,TMIN\n{STATION},2027-05-01,30.5,15\n")
    assert found == {"line 2": "TMAX 30.5 cannot be tenths, which are whole numbers; say the units"}


def test_fahrenheit_taken_for_tenths_is_asked_about() -> None:
    text = f"STATION,DATE,TMAX,TMIN\n{STATION},2027-07-01,90,68\n"
    assert "in the units" in " ".join(read_text(text).notes)
    assert read_text(text, units=Units.STANDARD).notes == ()


def test_a_summary_without_its_columns_is_refused() -> None:
    assert faults_of(f"STATION,DATE,TMAX\n{STATION},2027-05-01,1\n") == {
        "line 1": "the column TMIN is missing; PRCP may be left out"
    }


# ---------------------------------------------------------------- plain files


@pytest.mark.parametrize(
    "text",
    [
        "date,high_f,low_f,rain_in,rh_pct\n2027-05-01,86,59,1,80\n",
        "Date, High_C ,low_c,rain_mm,rh_pct\r\n2027-05-01,30,15,25.4,80\r\n",
        "low_c,high_f,rh_pct,date,rain_in\n\n15.0,86,80,2027-05-01,1.0\n",
    ],
)
def test_a_plain_file_says_its_units_in_the_headings(text: str) -> None:
    (day,) = read_text(text).days
    assert (day.high_f, day.low_f, day.rain_in, day.rh_pct) == (
        pytest.approx(86),
        pytest.approx(59),
        pytest.approx(1),
        80,
    )


def test_an_empty_cell_is_a_reading_that_was_not_made() -> None:
    assert read_text("date,high_f,low_f,rain_in\n2027-05-01,86,,\n2027-05-02,80,60,0\n").days[0] == Day(
        on=date(2027, 5, 1), high_f=86
    )


def test_faults_of_a_plain_file_come_all_at_once() -> None:
    found = faults_of(
        "date,high_f,low_f,rain_in,rh_pct\n"
        "5/1/2027,86,59,0,80\n"
        "2027-05-02,186,59,0,80\n"
        "2027-05-03,60,70,0,80\n"
        "2027-05-04,86,nan,0,80\n"
        "2027-05-05,86,59,99,101\n"
        "2027-05-06,86,59\n"
        "2027-02-30,86,59,0,80\n"
    )
    assert found["line 2"] == "'5/1/2027' is no date; write it like 2027-07-28"
    assert found["line 3"] == "the high, high_f 186, is impossible; allowed is -60 to 130 F"
    assert found["line 4"] == "the high of 2027-05-03, high_f 60, is below its low, low_f 70"
    assert found["line 5"] == "low_f 'nan' is no number"
    assert found["line 6"] == "the humidity, rh_pct 101, is impossible; allowed is 0 to 100 %"
    assert found["line 7"] == "3 cells under 5 headings"
    assert found["line 8"].startswith("'2027-02-30' is no date")


@pytest.mark.parametrize("text", ["1e2", "1_0", "1,5", "-+5", "--5", "inf", "٣", ".", "5 6"])
def test_only_plain_numbers_are_numbers(text: str) -> None:
    assert "is no number" in faults_of(f'date,high_f,low_f\n2027-05-01,86,"{text}"\n')["line 2"]


@pytest.mark.parametrize("text", ["5", "-5", "+5", "5.", ".5", " 5.25 "])
def test_plain_numbers(text: str) -> None:
    assert read_text(f"date,high_f,low_f\n2027-05-01,86,{text}\n").days[0].low_f == float(text)


@pytest.mark.parametrize(
    ("head", "said"),
    [
        ("date,high,low", "the heading 'high' is not known"),
        ("date,high_f", "low has no column"),
        ("date,high_f,high_c,low_f", "something has two columns"),
        ("date,high_f,low_f,rain_inch", "'rain_inch' is not known"),
    ],
)
def test_headings_without_a_unit_are_refused(head: str, said: str) -> None:
    assert said in faults_of(f"{head}\n")["line 1"]


@pytest.mark.parametrize(
    "text", ["", "\n\n", "hello\nworld\n", "date,high_f,low_f\n", 'date,high_f,low_f\n2027-05-01,86,"59\n']
)
def test_what_is_no_weather_file_is_refused(text: str) -> None:
    with pytest.raises(WrongWords, match=r"w\.csv"):
        read_text(text)


def test_units_are_not_told_of_a_file_that_says_them() -> None:
    with pytest.raises(WrongWords, match="says its units itself"):
        read_text("date,high_f,low_f\n2027-05-01,86,59\n", units=Units.METRIC)


def test_a_file_on_disk(tmp_path: Path) -> None:
    path = tmp_path / "w.csv"
    path.write_bytes(f"\ufeff{BY_DAY}".encode())
    assert read(path) == read_text(BY_DAY)
    with pytest.raises(WrongWords, match="cannot be read"):
        read(tmp_path / "none.csv")
    (tmp_path / "packed.csv").write_bytes(b"\x1f\x8b\x08\x00")
    with pytest.raises(WrongWords, match="cannot be read"):
        read(tmp_path / "packed.csv")


# ---------------------------------------------------------------- gaps, forecast, averages


def file_of(*days: Day) -> WeatherFile:
    return WeatherFile(name="w.csv", station=None, days=days)


def day(n: int, high: float | None = 80, low: float | None = 60, rain: float | None = None) -> Day:
    return Day(on=date(2027, 7, n), high_f=high, low_f=low, rain_in=rain)


def july(first: int, last: int) -> tuple[date, date]:
    return date(2027, 7, first), date(2027, 7, last)


HOLES = file_of(day(1, 80, 60, 0.5), day(4, 86, 66), day(5, None, 50), day(6, 90, 70), day(12, 90, 70))


def test_nothing_is_put_in_unless_it_is_told() -> None:
    made = season(HOLES, *july(1, 12), today=TODAY)
    assert made.filled == ()
    assert [str(gap) for gap in made.lacking] == [
        "the high of 2027-07-02 to 2027-07-03",
        "the high of 2027-07-05",
        "the high of 2027-07-07 to 2027-07-11",
        "the low of 2027-07-02 to 2027-07-03",
        "the low of 2027-07-07 to 2027-07-11",
    ]


def test_a_short_gap_is_filled_by_a_straight_line_and_a_long_one_is_not() -> None:
    made = season(HOLES, *july(1, 12), today=TODAY, fill_days=2)
    by_day = {d.on.day: d for d in made.days}
    assert [(by_day[n].high_f, by_day[n].low_f) for n in (2, 3, 5)] == [(82, 62), (84, 64), (88, 50)]
    assert by_day[2].rain_in is None
    assert by_day[5].filled == ("high_f",)
    assert [gap.days for gap in made.filled] == [2, 1, 2]
    assert {(gap.first.day, gap.last.day) for gap in made.lacking} == {(7, 11)}
    assert made.notes()[0] == "the high of 2027-07-02 to 2027-07-03 was put in between its neighbours"


def test_a_gap_one_day_too_long_stays() -> None:
    assert season(HOLES, *july(1, 4), today=TODAY, fill_days=1).filled == ()


def test_a_line_that_would_cross_the_other_reading_is_not_drawn() -> None:
    file = file_of(day(1, 60, 40), day(2, None, 75), day(3, 62, 41))
    made = season(file, *july(1, 3), today=TODAY, fill_days=5)
    assert (made.days[1].high_f, made.days[1].low_f, made.filled) == (None, 75, ())


def test_neighbours_outside_the_days_wanted_count() -> None:
    made = season(HOLES, *july(2, 3), today=TODAY, fill_days=2)
    assert [d.high_f for d in made.days] == [82, 84]


def test_days_after_today_are_forecast() -> None:
    made = season(file_of(day(1), day(2), day(3)), *july(1, 4), today=date(2027, 7, 2))
    assert [d.origin for d in made.days[:3]] == [Origin.OBSERVED, Origin.OBSERVED, Origin.FORECAST]
    assert made.forecast_from == date(2027, 7, 3)
    assert [gap.first.day for gap in made.lacking] == [4, 4]


YEARS = file_of(
    Day(on=date(2024, 2, 28), high_f=40, low_f=20),
    Day(on=date(2025, 7, 5), high_f=80, low_f=60),
    Day(on=date(2026, 7, 5), high_f=90, low_f=64),
    Day(on=date(2026, 7, 6), high_f=70, low_f=50),
    Day(on=date(2027, 7, 3), high_f=82, low_f=62),
    Day(on=date(2027, 7, 4), high_f=84, low_f=61),
)


def test_beyond_the_forecast_come_the_files_own_averages_or_nothing() -> None:
    """Means of 5 July: (80 + 90) / 2 and (60 + 64) / 2."""
    without = season(YEARS, *july(3, 7), today=date(2027, 7, 3))
    assert [d.has_heat for d in without.days] == [True, True, False, False, False]
    made = season(YEARS, *july(3, 7), today=date(2027, 7, 3), averages=True)
    assert [d.origin for d in made.days][1:4] == [Origin.FORECAST, Origin.AVERAGE, Origin.AVERAGE]
    assert (made.days[2].high_f, made.days[2].low_f) == (85, 62)
    assert (made.average_from, made.average_years) == (date(2027, 7, 5), 1)
    assert not made.days[4].has_heat
    assert "from 2027-07-05 on the file's own averages of 1 year" in made.notes()


def test_averages_know_nothing_of_later_days() -> None:
    """As of 2025 the year 2026 has not been seen."""
    made = season(YEARS, date(2027, 7, 5), date(2027, 7, 5), today=date(2025, 12, 31), averages=True)
    assert made.days[0].high_f == 80


def test_the_files_last_day_is_its_own_and_no_average() -> None:
    file = file_of(Day(on=date(2026, 7, 4), high_f=60, low_f=50), *YEARS.days[3:])
    made = season(file, *july(4, 4), today=date(2027, 7, 3), averages=True)
    assert (made.days[0].high_f, made.days[0].origin, made.average_from) == (84, Origin.FORECAST, None)


def test_a_leap_day_goes_by_the_day_before() -> None:
    on = date(2028, 2, 29)
    assert season(YEARS, on, on, today=TODAY, averages=True).days[0].high_f == 40


@pytest.mark.parametrize(("first", "last", "most"), [(2, 1, 0), (1, 2, -1)])
def test_days_that_run_backwards_are_refused(first: int, last: int, most: int) -> None:
    with pytest.raises(WrongWords, match="nothing to be had"):
        season(HOLES, *july(first, last), today=TODAY, fill_days=most)


# ---------------------------------------------------------------- heat units

#: Published worked examples, degrees F: high, low, heat units, source.
EXAMPLES_F = [
    (80, 55, 17.5),  # p_gdd
    (90, 72, 29),  # p_gdd
    (68, 41, 9),  # p_gdd
    (80, 60, 20),  # oh_101
    (60, 40, 5),  # oh_101
    (90, 70, 28),  # oh_101, nd_rit
    (87, 63, 24.5),  # oh_kar
    (90, 65, 25.5),  # uw_wau
    (72, 46, 11),  # uw_wau
    (63, 42, 6.5),  # uw_wau
    (100, 40, 18),  # or_ippc
    (92, 68, 27),  # mrcc
    (82, 56, 19),  # umn_dl
    (48, 40, 0),  # aafc
]
#: The same in degrees C-days; the last three derived.
EXAMPLES_C = [(21, 15, 8), (32.2, 21.1, 15.55), (35, 25, 17.5), (18, 4, 4)]  # sage, from oh_101


def test_the_published_examples_through_a_plain_file() -> None:
    start = date(2027, 5, 1)
    rows = [f"{start + timedelta(n)},{high},{low}" for n, (high, low, _) in enumerate(EXAMPLES_F)]
    days = read_text("date,high_f,low_f\n" + "\n".join(rows) + "\n").days
    for each, (_, _, expected) in zip(days, EXAMPLES_F, strict=True):
        assert heat_since(days, each.on, each.on, TABLES).gdd == pytest.approx(expected)
    three = heat_since(days, days[7].on, days[9].on, TABLES)
    assert (three.gdd, three.days) == (pytest.approx(43), 3)  # uw_wau: three days sum to 43
    assert heat_since(days, days[0].on, days[-1].on, TABLES).gdd == pytest.approx(
        sum(expected for _, _, expected in EXAMPLES_F)
    )


def test_the_published_celsius_examples_through_tenths() -> None:
    """One C-day is 9/5 F-days."""
    lines = [
        f"{STATION},202705{n:02d},{element},{round(value * 10)},,,W,\n"
        for n, (high, low, _) in enumerate(EXAMPLES_C, start=1)
        for element, value in (("TMAX", high), ("TMIN", low))
    ]
    days = read_text("".join(lines)).days
    for each, (_, _, expected) in zip(days, EXAMPLES_C, strict=True):
        assert heat_since(days, each.on, each.on, TABLES).gdd == pytest.approx(expected * 9 / 5, abs=0.001)


def year_of_tenths(year: int) -> Iterator[tuple[date, int, int]]:
    """A made-up year of a Corn Belt station in tenths of a degree C, from cold to over the cap."""
    for n in range((date(year + 1, 1, 1) - date(year, 1, 1)).days):
        wave = -cos(2 * pi * (n - 15) / 365)
        mean, swing = 100 + 150 * wave, 55 + 15 * (n * 7 % 11 - 5) / 5
        wander = 40 * ((n * 13 % 17) - 8) / 8
        yield date(year, 1, 1) + timedelta(days=n), round(mean + wander + swing), round(mean + wander - swing)


def plain_sum(days: Iterator[tuple[date, int, int]], first: date, last: date) -> float:
    """A second reckoning: exact fractions, degrees C, base 10 and cap 30, F-days at the end."""
    total = Fraction(0)
    for on, high, low in days:
        if first <= on <= last:
            warm = [min(max(Fraction(value, 10), Fraction(10)), Fraction(30)) for value in (high, low)]
            total += (warm[0] + warm[1]) / 2 - 10
    return float(total * 9 / 5)


@pytest.mark.parametrize(
    ("first", "last"),
    [
        (date(2027, 1, 1), date(2027, 12, 31)),
        (date(2027, 5, 1), date(2027, 9, 30)),
        (date(2027, 7, 4), TODAY),
    ],
)
def test_a_year_of_station_data_sums_as_a_second_reckoning(tmp_path: Path, first: date, last: date) -> None:
    path = tmp_path / "by_station.csv"
    with path.open("w", encoding="ascii") as out:
        for on, high, low in year_of_tenths(2027):
            for element, value in (("TMAX", high), ("TMIN", low), ("PRCP", 0)):
                out.write(f"{STATION},{on:%Y%m%d},{element},{value},,,W,0700\n")
    made = season(read(path), first, last, today=date(2027, 12, 31))
    heat = heat_since(made.days, first, last, TABLES)
    assert heat.is_whole
    assert heat.days == (last - first).days + 1
    assert heat.gdd == pytest.approx(plain_sum(year_of_tenths(2027), first, last), abs=1e-6)
    assert heat.gdd > 0


def test_lacking_days_make_the_sum_a_lower_bound_that_says_so() -> None:
    full = heat_since([day(1), day(2), day(3)], *july(1, 3), TABLES)
    holed = heat_since([day(1), day(2, None), day(3)], *july(1, 4), TABLES)
    assert (full.gdd, full.is_whole) == (60, True)
    assert (holed.gdd, holed.is_whole) == (40, False)
    assert [on.day for on in holed.lacking] == [2, 4]


def test_what_a_sum_rests_on_is_counted() -> None:
    made = season(YEARS, *july(3, 6), today=date(2027, 7, 3), averages=True)
    heat = heat_since(made.days, *july(3, 6), TABLES)
    assert (heat.days, heat.forecast, heat.averaged, heat.filled) == (4, 1, 2, 0)
    filled = season(HOLES, *july(1, 6), today=TODAY, fill_days=2)
    assert heat_since(filled.days, *july(1, 6), TABLES).filled == 3


def test_heat_backwards_is_refused() -> None:
    with pytest.raises(WrongWords, match="run backwards"):
        heat_since([], date(2027, 7, 2), date(2027, 7, 1), TABLES)


@given(st.lists(st.tuples(st.integers(-200, 450), st.integers(0, 250)), min_size=1, max_size=60))
def test_parts_of_a_season_add_up_to_the_whole(figures: list[tuple[int, int]]) -> None:
    start = date(2027, 5, 1)
    lines = [
        f"{STATION},{start + timedelta(days=n):%Y%m%d},{element},{value},,,W,\n"
        for n, (high, drop) in enumerate(figures)
        for element, value in (("TMAX", high), ("TMIN", high - drop))
    ]
    days = read_text("".join(lines)).days
    middle, end = start + timedelta(days=len(days) // 2), days[-1].on
    whole = heat_since(days, start, end, TABLES).gdd
    first = heat_since(days, start, middle, TABLES).gdd
    rest = heat_since(days, middle + timedelta(days=1), end, TABLES).gdd if middle < end else 0
    assert whole == pytest.approx(first + rest)
