"""The agronomy tables are whole, and every kind of fault in them is found."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import rules
from rules.agronomy.lines import between
from rules.agronomy.tables import faults, load

SHIPPED = Path(rules.__file__).parent / "knowledge"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "sources").mkdir()
    for path in [*SHIPPED.glob("*.toml"), *SHIPPED.glob("*.csv"), *SHIPPED.glob("sources/*.toml")]:
        shutil.copy(path, tmp_path / path.relative_to(SHIPPED))
    return tmp_path


def swap(folder: Path, name: str, old: str, new: str) -> None:
    text = (folder / name).read_text(encoding="utf-8")
    assert old in text, f"the test wants {old!r} in {name}"
    (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")


def test_the_shipped_tables_have_no_fault() -> None:
    assert [str(fault) for fault in faults()] == []


def test_a_copy_of_them_has_no_fault(folder: Path) -> None:
    assert faults(folder) == []


@pytest.mark.parametrize(
    ("name", "old", "new", "message"),
    [
        ("stages.toml", "left = 62", "lefft = 62", "'lefft' is not known"),
        ("stages.toml", "left = 62\n", "", "'left' is missing"),
        ("stages.toml", "left = 62", 'left = "62"', "not of the kind int"),
        ("stages.toml", "left_shown = [55, 65]", "left_shown = [55]", "2 values are needed"),
        ("stages.toml", 'known = "derived"', 'known = "heard"', "'heard' is not allowed"),
        ("stages.toml", "[tassel]", "[tassel", "not readable as TOML"),
        ("stages.toml", '"p_mat13"]', '"p_mat31"]', "no source 'p_mat31'"),
        ("stages.toml", 'stage = "R2"', 'stage = "R22"', "no stage 'R22'"),
        ("stages.toml", "left_shown = [55, 65]", "left_shown = [65, 55]", "runs backwards"),
        ("stages.toml", "left_shortest = 55", "left_shortest = 60", "out of order"),
        ("stages.toml", "after = 25", "after = 30", "lies outside"),
        ("stages.toml", "left_shortest = 45", "left_shortest = 40", "does not follow"),
        ("stages.csv", "R2,,blister", "R1,,blister", "stands twice"),
        ("stages.csv", ",r2,71", ",r4,71", "do not stand together"),
        ("leaf_loss.csv", "7_leaf,V5,0,0", "7_leaf,V5,0,9", "falls from left to right"),
        ("leaf_loss.csv", "blister,R2,2,3", "blister,R2,9,9", "out of step"),
        ("leaf_loss.csv", "7_leaf,V5,0", "7_leaf,V5,none", "not of the kind float"),
        ("heat_left.csv", "R2,blister,95,105,880", "R2,blister,95,105,780", "out of order"),
        ("heat_left.csv", "R2,blister,95", "R2,blister,warm", "not of the kind int"),
        ("heat.toml", "share = 0.4", "share = 0.9", "do not rise"),
        ("heat.toml", 'after = "05-01"', 'after = "05-41"', "no day of the year"),
        ("weather.toml", "high_c = 28", "high_c = 20", "narrower than the row"),
        ("weather.toml", 'favourable = ["warm"]', 'favourable = ["balmy"]', "'balmy' is not allowed"),
        ("loss.toml", 'lowest_row = "7_leaf"', 'lowest_row = "6_leaf"', "no row '6_leaf'"),
    ],
)
def test_a_fault_is_found(folder: Path, name: str, old: str, new: str, message: str) -> None:
    swap(folder, name, old, new)
    found = faults(folder)
    assert any(message in fault.message and fault.file == name for fault in found), [str(f) for f in found]


def test_all_faults_are_listed_at_once(folder: Path) -> None:
    swap(folder, "stages.toml", "left = 62", "lefft = 62")
    swap(folder, "heat.toml", "base_f = 50", "base_f = true")
    assert {fault.file for fault in faults(folder)} == {"stages.toml", "heat.toml"}


def test_a_missing_table_is_named(folder: Path) -> None:
    (folder / "harvest.toml").unlink()
    assert any(f.file == "harvest.toml" and "missing" in f.message for f in faults(folder))


def test_days_left_and_days_after_silking_are_one_calendar() -> None:
    # p_mat13: 62 days in all
    whole = load().stages.milestone[-1].after
    assert all(m.after + m.left == whole for m in load().stages.milestone)


def test_dry_matter_and_yield_to_be_made_are_one_figure() -> None:
    tables = load()
    matter = {row.code: row.dry_matter_pct for row in tables.rows}
    assert all(item.percent == 100 - (matter[item.stage] or 0) for item in tables.loss.to_be_made)


def test_a_straight_line_between_points() -> None:
    points = [(0.0, 10.0), (1.0, 20.0), (3.0, 0.0)]
    assert [between(points, x) for x in (0, 0.5, 1, 2, 3)] == [10, 15, 20, 10, 0]


def test_every_disorder_that_a_table_names_has_its_page() -> None:
    tables = load()
    book = tables.loss
    named = {item.disorder for item in (*tables.weather.favour, *tables.weather.published_range)}
    named |= {item.disorder for item in (*book.severity_band, *book.severity_slope, book.progress_line)}
    pages = {path.stem for path in SHIPPED.glob("disorders/*.toml")}
    assert named - pages == set()
