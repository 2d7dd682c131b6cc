"""The crop's stage on the day of a note, out of what it and earlier notes say."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.agronomy.errors import UnknownStage
from rules.agronomy.stage import read_stage
from rules.agronomy.tables import load
from rules.model import Basis, Earlier, Fact, Relation, StageReading, Status, Value

TABLES = load()
ON = date(2027, 7, 28)


def fact(attribute: str, value: Value, relation: Relation | None = None, **more: Status) -> Fact:
    return Fact(attribute=attribute, value=value, relation=relation, **more)


def said(code: str, relation: Relation | None = None) -> Fact:
    return fact("growth_stage", code, relation)


def read(*facts: Fact, earlier: tuple[Earlier, ...] = (), gdd: float | None = None) -> StageReading:
    return read_stage(facts, ON, earlier, TABLES, gdd)


# --------------------------------------------------------------------------- said, seen


def test_nothing_said_is_unknown() -> None:
    assert read() == StageReading()


def test_a_stage_that_was_said() -> None:
    reading = read(said("R3"))
    assert (reading.code, reading.bbch, reading.basis) == ("R3", "73-75", Basis.SAID)
    assert reading.days_to_r6 == (40, 46)  # w_rankin, il_13
    assert reading.r6_on == (ON + timedelta(days=40), ON + timedelta(days=46))
    assert {"il_13", "w_rankin"} <= set(reading.sources)


def test_an_early_leaf_stage_has_no_date_of_black_layer() -> None:
    reading = read(said("V6"))
    assert (reading.code, reading.basis) == ("V6", Basis.SAID)
    assert reading.days_to_r6 is None
    assert reading.r6_on is None


def test_a_range_stands_at_its_first_stage_and_spans_the_days_of_both() -> None:
    reading = read(said("R4-R5"))
    assert reading.code == "R4"
    assert reading.days_to_r6 == (26, 40)


def test_two_stages_said_make_a_range() -> None:
    assert read(said("R5"), said("R4")) == read(said("R4-R5"))


def test_nearing_is_still_the_stage_before() -> None:
    reading = read(said("R3", Relation.NEARING))
    assert reading.code == "R2"
    assert reading.days_to_r6 == (40, 50)


def test_past_a_stage_is_the_next_one_at_its_edge() -> None:
    reading = read(said("R2", Relation.AFTER))
    assert reading.code == "R3"
    assert reading.days_to_r6 == (40, 50)


def test_before_a_stage_is_the_one_before_it() -> None:
    reading = read(said("R4", Relation.BEFORE))
    assert reading.code == "R3"
    assert reading.days_to_r6 == (33, 46)


def test_past_dent_is_not_yet_black_layer() -> None:
    assert read(said("R5", Relation.AFTER)).code == "R5"


def test_nearly_black_layer_is_late_dent() -> None:
    reading = read(said("R6", Relation.NEARING))
    assert reading.code == "R5"
    assert reading.days_to_r6 == (0, 7)


def test_nearing_tassel_is_the_last_leaf_stage() -> None:
    assert read(said("VT", Relation.NEARING)).code == "V18"


def test_a_stage_reached_outweighs_one_that_is_near() -> None:
    assert read(said("R4", Relation.NEARING), said("R3")).code == "R3"


def test_a_milk_line_is_seen() -> None:
    reading = read(fact("milk_line", 0.5))
    assert (reading.code, reading.basis) == ("R5", Basis.SEEN)
    assert reading.days_to_r6 == (8, 24)  # w_frost, isu_kassel


def test_a_milk_line_rules_over_the_word() -> None:
    assert read(said("R4"), fact("milk_line", (0.25, 0.5))).days_to_r6 == (8, 30)


def test_no_milk_line_left_is_black_layer() -> None:
    reading = read(fact("milk_line", 1))
    assert (reading.code, reading.days_to_r6, reading.r6_on) == ("R6", (0, 0), None)


@pytest.mark.parametrize("status", [Status.ABSENT, Status.NOT_CHECKED, Status.CANNOT_TELL])
def test_a_milk_line_not_seen_says_nothing(status: Status) -> None:
    assert read(fact("milk_line", 0.5, status=status)) == StageReading()


def test_a_stage_that_does_not_exist_is_named() -> None:
    with pytest.raises(UnknownStage, match="R9"):
        read(said("R9"))


# --------------------------------------------------------------------------- dates


def test_silk_date() -> None:
    reading = read(fact("silked_on", date(2027, 7, 4)))
    assert (reading.code, reading.basis) == ("R3", Basis.PROJECTED)
    assert reading.r6_on == (date(2027, 8, 28), date(2027, 9, 7))  # psu23, addition corrected


def test_silk_date_narrows_a_stage_that_was_said() -> None:
    reading = read(said("R3"), fact("silked_on", date(2027, 7, 6)))
    assert (reading.code, reading.basis) == ("R3", Basis.SAID)
    assert reading.days_to_r6 == (40, 43)


def test_a_silk_date_that_contradicts_leaves_the_stage_as_said() -> None:
    assert read(said("R5"), fact("silked_on", date(2027, 7, 25))).days_to_r6 == (26, 33)


def test_days_to_black_layer_stand_as_said() -> None:
    reading = read(said("R5"), fact("days_to_maturity", (14, 21)))
    assert (reading.code, reading.days_to_r6) == ("R5", (14, 21))
    assert read(fact("days_to_maturity", 14)).code == "R5"


def test_days_to_tassel() -> None:
    reading = read(fact("days_to_tassel", 5))
    assert reading.code is not None
    assert reading.code.startswith("V1")
    assert reading.days_to_r6 == (60, 73)


def test_emergence_date() -> None:
    reading = read(fact("emerged_on", date(2027, 5, 24)))
    assert reading.code in ("VT", "R1")  # w_a016: silk about 65 days on
    assert reading.r6_on is not None
    assert reading.r6_on[0] <= date(2027, 5, 24) + timedelta(days=120) <= reading.r6_on[1]  # w_a016


def test_a_planting_date_alone_gives_no_stage() -> None:
    assert read(fact("planted_on", date(2027, 5, 1))).basis is Basis.UNKNOWN


def test_heat_since_planting_serves_when_nothing_else_does() -> None:
    assert read(gdd=785).code == "V8"  # p_vp example
    assert read(said("R1"), gdd=785).code == "R1"
    assert read(gdd=2000).code is None  # past the last leaf the collars say nothing


def test_the_day_that_was_seen_counts() -> None:
    reading = read(said("R2"), fact("observed_on", date(2027, 7, 21)))
    assert (reading.code, reading.basis) == ("R3", Basis.PROJECTED)


# --------------------------------------------------------------------------- earlier notes


def note(on: date, *facts: Fact) -> Earlier:
    return Earlier(on=on, facts=facts)


def test_an_earlier_stage_is_carried_to_today() -> None:
    reading = read(earlier=(note(date(2027, 7, 14), said("R2")),))
    assert (reading.code, reading.basis) == ("R4", Basis.PROJECTED)
    assert reading.days_to_r6 == (45 - 14, 54 - 14)


def test_todays_word_outweighs_earlier_notes() -> None:
    reading = read(said("R3"), earlier=(note(date(2027, 7, 14), said("R4")),))
    assert (reading.code, reading.basis) == ("R3", Basis.SAID)


def test_the_latest_earlier_note_that_says_something_is_taken() -> None:
    notes = (
        note(date(2027, 7, 1), said("V10")),
        note(date(2027, 7, 20), said("R2")),
        note(date(2027, 7, 25)),
    )
    assert read(earlier=notes) == read(earlier=notes[::-1]) == read(earlier=notes[1:2])


def test_a_later_note_is_left_aside() -> None:
    assert read(earlier=(note(date(2027, 8, 20), said("R5")),)).basis is Basis.UNKNOWN


def test_a_stage_said_months_ago_is_carried_to_today() -> None:
    reading = read(earlier=(note(date(2027, 6, 10), said("V6")),))
    assert reading.code in ("R1", "R2")
    assert reading.basis is Basis.PROJECTED
    assert reading.days_to_r6 is not None


def test_black_layer_stays_black_layer() -> None:
    reading = read(earlier=(note(date(2027, 7, 1), said("R6")),))
    assert (reading.code, reading.days_to_r6, reading.r6_on) == ("R6", (0, 0), None)


stage_codes = st.sampled_from([row.code for row in TABLES.rows])


@given(stage_codes, st.one_of(st.none(), st.sampled_from(Relation)), st.integers(0, 120))
def test_every_reading_is_in_order(code: str, relation: Relation | None, ago: int) -> None:
    reading = read(earlier=(note(ON - timedelta(days=ago), said(code, relation)),))
    assert reading.code in {row.code for row in TABLES.rows if row.part_of is None}
    assert reading.sources
    if reading.days_to_r6 is not None:
        assert 0 <= reading.days_to_r6[0] <= reading.days_to_r6[1]
    if reading.r6_on is not None:
        assert reading.r6_on[0] <= reading.r6_on[1]


@given(st.sampled_from(["VT", "R1", "R2", "R3", "R4", "R5"]), st.integers(0, 30), st.integers(1, 30))
def test_black_layer_does_not_move_with_the_day_of_asking(code: str, ago: int, later: int) -> None:
    notes = (note(ON - timedelta(days=ago), said(code)),)
    today = read_stage((), ON, notes, TABLES)
    afterwards = read_stage((), ON + timedelta(days=later), notes, TABLES)
    assert today.r6_on == afterwards.r6_on
