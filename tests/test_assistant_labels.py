"""Labels typed in by the user: files, faults, and the shelf in the casebook."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.casebook.book import Casebook
from assistant.casebook.rows import NewEntry
from assistant.labels import (
    WrongLabels,
    as_body,
    demo_labels,
    put,
    read,
    read_csv,
    read_toml,
    shelf,
    shelf_rules,
    write_csv,
    write_toml,
)
from rules.agronomy.label import Label, Situation, judge, load
from rules.model import WrongWords

RULES = shelf_rules()
DAY = date(2027, 7, 28)
THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
DEMO = Path(__file__).parent.parent / "demo_notes"


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Casebook]:
    with Casebook.open(tmp_path / "casebook.db") as opened:
        yield opened


def faults_of(text: str, form: str = "toml") -> dict[str, str]:
    """Record -> message of every fault."""
    with pytest.raises(WrongLabels) as caught:
        (read_toml if form == "toml" else read_csv)(text, "mine", RULES)
    return {fault.record: fault.message for fault in caught.value.faults}


# ---------------------------------------------------------------- files

ONE = """
[[label]]
name = "Mine"
active_ingredients = ["Azoxystrobin", "propiconazole"]
frac_groups = [11, "3"]
disorders = ["southern rust", "gray_leaf_spot"]
uses = ["dent", "silage"]
states = ["Iowa", "ne"]
stages = ["V5", "R4"]
preharvest_days = { grain = 30, silage_corn = 21 }
reentry_hours = 12
max_applications = 2
min_interval_days = 14
methods = ["ground"]
min_gal_ac = { ground = 10 }
adjuvants = "see page 3"
restricted_use = false
typed_on = 2027-03-01
"""

MINE = Label(
    name="Mine",
    active_ingredients=("azoxystrobin", "propiconazole"),
    frac_groups=("11", "3"),
    disorders=("southern_rust", "gray_leaf_spot"),
    uses=("grain", "silage"),
    states=("IA", "NE"),
    stages=("V5", "R4"),
    preharvest_days=(("grain", 30), ("silage", 21)),
    reentry_hours=12,
    max_applications=2,
    min_interval_days=14,
    methods=("ground",),
    min_gal_ac=(("ground", 10.0),),
    adjuvants="see page 3",
    restricted_use=False,
    typed_on=date(2027, 3, 1),
)


def test_a_label_in_toml() -> None:
    assert read_toml(ONE, "mine.toml", RULES) == (MINE,)


def test_the_same_label_in_csv_as_a_spreadsheet_writes_it(tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    head = (
        "name,active_ingredients,frac_groups,disorders,uses,states,stages,preharvest_days,reentry_hours,"
        "max_applications,min_interval_days,methods,min_gal_ac,adjuvants,forage,restricted_use,typed_on"
    )
    row = (
        'Mine,"Azoxystrobin, propiconazole",11;3,southern rust; gray leaf spot,grain;silage,IA; Nebraska,'
        "V5 to R4,grain=30; silage=21,12,2,14,ground,ground=10,see page 3,,no,2027-03-01"
    )
    path.write_bytes(f"\ufeff{head}\r\n{row}\r\n".encode())
    assert read(path, RULES) == (MINE,)


def test_what_is_left_out_stays_not_told() -> None:
    (label,) = read_toml('[[label]]\nname = "Bare"\n', "mine", RULES)
    assert label == Label(name="Bare")
    assert all(getattr(label, f.name) is None for f in fields(Label) if f.name not in ("name", "demo"))
    assert read_csv("name,uses\nBare,\n", "mine", RULES) == (label,)


words = st.text(st.characters(codec="utf-8", categories=("L", "N", "P", "S")), min_size=1, max_size=12)
some = st.sampled_from(sorted(RULES.disorders))
labels = st.builds(
    Label,
    name=words,
    disorders=st.none() | st.lists(some, min_size=1, max_size=4, unique=True).map(tuple),
    stages=st.sampled_from([None, ("VE", "R3"), ("V8", "R5.25")]),
    preharvest_days=st.none() | st.just((("grain", 7), ("silage", 120))),
    reentry_hours=st.none() | st.integers(0, 720),
    min_gal_ac=st.none() | st.floats(0.5, 60).map(lambda least: (("aerial", least),)),
    adjuvants=st.none() | words,
    restricted_use=st.none() | st.booleans(),
    typed_on=st.none() | st.dates(date(2000, 1, 1), date(2100, 1, 1)),
    demo=st.booleans(),
)


@settings(max_examples=80, deadline=None)
@given(labels)
def test_what_is_written_is_read_back(label: Label) -> None:
    assert read_toml(write_toml([label]), "mine", RULES) == (label,)
    assert read_csv(write_csv([label]), "mine", RULES) == (label,)


# ---------------------------------------------------------------- faults


def test_every_wrong_field_of_every_label_is_listed_at_once() -> None:
    found = faults_of(
        """
[[label]]
name = "Mine"
frac_groups = ["eleven"]
disorders = ["southern rost"]
uses = ["hay"]
states = ["Iowa", "Ontario"]
stages = ["R4", "V5"]
preharvest_days = { grain = -3 }
reentry_hours = "twelve"
max_applications = 1.5
methods = ["blimp"]
min_gal_ac = { aerial = 200 }
restricted_use = "perhaps"
typed_on = "3/1/2027"
adjuvants = ""
[[label]]
reentry_hours = true
"""
    )
    one = "label 1 'Mine', "
    assert found[f"{one}frac_groups"] == (
        "'eleven' is no FRAC group; allowed are numbers like 3, 7, 11 or codes like M05"
    )
    assert found[f"{one}disorders"].startswith(
        "'southern_rost' is not allowed; did you mean 'southern_rust'?"
    )
    assert found[f"{one}uses"].endswith("allowed are grain, silage, earlage, sweet, seed, popcorn")
    assert found[f"{one}states"].startswith("'Ontario': no such state")
    assert found[f"{one}stages"].startswith("R4 comes after V5")
    assert found[f"{one}preharvest_days"] == "-3 must be a whole number from 0 to 120"
    assert found[f"{one}reentry_hours"] == "'twelve' must be a whole number from 0 to 720"
    assert found[f"{one}max_applications"] == "1.5 must be a whole number from 1 to 10"
    assert found[f"{one}methods"].endswith("allowed are ground, aerial, drone, irrigation")
    assert found[f"{one}min_gal_ac"] == "200 must be a number from 0.5 to 60"
    assert found[f"{one}restricted_use"] == "'perhaps' must be yes or no"
    assert found[f"{one}typed_on"] == "'3/1/2027' must be a date like 2027-07-28"
    assert found[f"{one}adjuvants"] == "'' must be words on one line"
    assert found["label 2, name"] == "a label needs a name"
    assert found["label 2, reentry_hours"] == "True must be a whole number from 0 to 720"
    assert len(found) == 15


def test_faults_of_a_csv_name_the_line() -> None:
    found = faults_of("name,reentry_hours\nGood,12\nBad,soon\nWide,12,and more\n", "csv")
    assert set(found) == {"line 3 'Bad', reentry_hours", "line 4 'Wide', cells without a heading"}


def test_an_amount_of_product_has_no_place() -> None:
    found = faults_of('[[label]]\nname = "Mine"\nrate = "7 fl oz/ac"\n')
    assert "amounts of product are not kept" in found["label 1 'Mine', rate"]


@pytest.mark.parametrize(
    ("fields_", "where", "said"),
    [
        ('active_ingredients = ["azoxystrobn"]', "active_ingredients", "is it 'azoxystrobin'?"),
        # groups: FRAC 11 and 3, uc_sg
        ('active_ingredients = ["azoxystrobin"]\nfrac_groups = ["3"]', "frac_groups", "no"),
        ('active_ingredients = ["propiconazole"]\nfrac_groups = ["3", "7"]', "frac_groups", "of group 7"),
        ('uses = ["grain"]\npreharvest_days = { silage = 30 }', "preharvest_days", "not among the uses"),
        ('methods = ["ground"]\nmin_gal_ac = { aerial = 2 }', "min_gal_ac", "not among the methods"),
        ('uses = ["grain", "grain"]', "uses", "twice"),
        ("uses = []", "uses", "leave the field out"),
    ],
)
def test_fields_at_odds(fields_: str, where: str, said: str) -> None:
    found = faults_of(f'[[label]]\nname = "Mine"\n{fields_}\n')
    assert said in found[f"label 1 'Mine', {where}"]


def test_an_ingredient_that_is_new_is_taken_as_typed() -> None:
    text = '[[label]]\nname = "Mine"\nactive_ingredients = ["ipconazole"]\nfrac_groups = ["3"]\n'
    assert read_toml(text, "mine", RULES)[0].active_ingredients == ("ipconazole",)


def test_codes_of_groups_come_out_in_one_form() -> None:
    text = '[[label]]\nname = "Mine"\nfrac_groups = ["m5", "011", "P 7"]\n'
    assert read_toml(text, "mine", RULES)[0].frac_groups == ("M05", "11", "P07")


def test_one_name_stands_once_in_a_file() -> None:
    text = '[[label]]\nname = "Mine"\n[[label]]\nname = " mine "\n'
    assert list(faults_of(text).values()) == ["a label of this name stands above already"]


@pytest.mark.parametrize(
    "text", ["name = 3", "[label]\nname = 'x'", "[[label]]\nname = 'x'\n[other]\n", "[[label", ""]
)
def test_a_toml_of_something_else_is_refused(text: str) -> None:
    with pytest.raises(WrongWords, match="mine"):
        read_toml(text, "mine", RULES)


@pytest.mark.parametrize("text", ["", "uses\ngrain\n", "name,name\na,b\n", 'name\n"open\n'])
def test_a_csv_of_something_else_is_refused(text: str) -> None:
    with pytest.raises(WrongWords, match="mine"):
        read_csv(text, "mine", RULES)


def test_a_file_that_cannot_be_read_is_said(tmp_path: Path) -> None:
    (tmp_path / "odd.toml").write_bytes(b"\xff\xfe")
    for name in ("none.toml", "odd.toml", "labels.xlsx"):
        with pytest.raises(WrongWords, match=re.escape(name)):
            read(tmp_path / name, RULES)


# ---------------------------------------------------------------- the shelf


def test_a_label_is_kept_in_the_casebook_and_comes_back(book: Casebook) -> None:
    entry = put(book, MINE, "ann", THEN, DAY)
    assert entry.kind == "label"
    assert entry.body["name"] == "Mine"
    assert shelf(book) == (MINE,)


def test_the_day_of_typing_is_put_in_where_it_was_not_told(book: Casebook) -> None:
    put(book, replace(MINE, typed_on=None), "ann", THEN, DAY)
    assert shelf(book)[0].typed_on == DAY


def test_the_newest_of_a_name_holds_whatever_day_it_speaks_of(book: Casebook) -> None:
    put(book, MINE, "ann", THEN, DAY)
    put(book, Label(name="Another"), "ann", THEN, DAY)
    put(book, replace(MINE, name="MINE", reentry_hours=24), "bob", THEN.replace(hour=19), date(2027, 1, 2))
    assert [(label.name, label.reentry_hours) for label in shelf(book)] == [("Another", None), ("MINE", 24)]


def test_undo_brings_the_label_before_back(book: Casebook) -> None:
    put(book, MINE, "ann", THEN, DAY)
    put(book, replace(MINE, reentry_hours=24), "ann", THEN.replace(hour=19), DAY)
    book.withdraw_last("ann", THEN.replace(hour=20))
    assert shelf(book)[0].reentry_hours == 12


def test_an_empty_casebook_has_no_labels(book: Casebook) -> None:
    assert shelf(book) == ()


def test_an_entry_that_is_no_label_is_said(book: Casebook) -> None:
    body = {"name": "Mine", "reentry_hours": -1}
    entry = book.record(NewEntry(author="ann", made_at=THEN, about=DAY, kind="label", body=body))
    with pytest.raises(WrongLabels, match=f"entry {entry.uid}, reentry_hours: -1 must be"):
        shelf(book)


def test_the_body_holds_what_was_told_and_nothing_else() -> None:
    body = as_body(replace(MINE, demo=True))
    assert body["typed_on"] == "2027-03-01"
    assert body["preharvest_days"] == {"grain": 30, "silage": 21}
    assert "forage" not in body


# ---------------------------------------------------------------- the demonstration


def test_the_demo_labels_are_four_and_say_that_they_are_invented() -> None:
    labels = demo_labels(DEMO, RULES)
    assert [label.name for label in labels] == [f"Demo label {letter}" for letter in "ABCD"]
    assert all(label.demo for label in labels)
    assert "ALL ARE INVENTED" in (DEMO / "labels.toml").read_text(encoding="utf-8")


def test_of_the_demo_labels_the_half_empty_one_never_fits() -> None:
    at = Situation(
        on=DAY, disorder="southern_rust", use="grain", state="Iowa", stage="R2", method="ground", sprays=()
    )
    verdicts = {label.name[-1]: judge(label, at, load()) for label in demo_labels(DEMO, RULES)}
    assert [name for name, verdict in verdicts.items() if verdict.fits] == ["A", "B", "C"]
    assert "not typed in from the label" in " ".join(verdicts["D"].because)
