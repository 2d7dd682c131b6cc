"""Small tables by themselves: as shipped, and with one thing wrong each."""

from __future__ import annotations

from pathlib import Path

import pytest

from rules.agronomy import label_tables, weather_bounds
from rules.agronomy.books import load_book, read_book
from rules.agronomy.label_tables import LabelBook, method_of, state_code, state_name, use_of
from rules.agronomy.weather_bounds import WeatherBounds, bound_of
from rules.model import BrokenTables

SHIPPED = Path(weather_bounds.__file__).parents[1] / "knowledge"


@pytest.mark.parametrize(
    ("cls", "name"), [(WeatherBounds, "weather_bounds.toml"), (LabelBook, "label_fields.toml")]
)
def test_the_shipped_tables_have_no_faults(cls: type, name: str) -> None:
    assert read_book(cls, name, SHIPPED)[1] == []


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ("high = 30", 'high = "thirty"', "'thirty' is not of the kind float"),
        ("[rh_pct]", "[humidity]", "the key 'rh_pct' is missing"),
        ('source = ["judgement"]', "source = []", "allowed here are common_practice, judgement"),
        ("low = 0", "low = ", "cannot be read"),
    ],
)
def test_a_fault_is_named_with_its_file(tmp_path: Path, old: str, new: str, message: str) -> None:
    text = (SHIPPED / "weather_bounds.toml").read_text(encoding="utf-8")
    (tmp_path / "weather_bounds.toml").write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BrokenTables, match=message) as caught:
        load_book(WeatherBounds, "weather_bounds.toml", tmp_path)
    assert all(fault.file == "weather_bounds.toml" for fault in caught.value.faults)


def test_a_missing_table_is_said(tmp_path: Path) -> None:
    with pytest.raises(BrokenTables, match=r"weather_bounds\.toml: cannot be read"):
        load_book(WeatherBounds, "weather_bounds.toml", tmp_path)


def test_temperatures_take_the_limits_of_the_heat_table() -> None:
    tables = label_tables.load().agronomy
    assert bound_of("low_f", weather_bounds.load(), tables) == (*tables.heat.unit.possible_f, "F")
    assert bound_of("rh_pct", weather_bounds.load(), tables) == (0, 100, "%")


def test_states_uses_and_methods_by_their_words() -> None:
    tables = label_tables.load()
    assert state_code(" new  mexico", tables) == state_code("nm", tables) == "NM"
    assert state_name("NM", tables) == "New Mexico"
    assert state_code("Ontario", tables) is None
    assert use_of("silage_corn", tables) is use_of("silage", tables)
    assert use_of("hay", tables) is None
    assert method_of("blimp", tables) is None
