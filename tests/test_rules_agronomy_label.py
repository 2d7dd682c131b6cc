"""A label held against a field: what is empty never fits, and the strictest decides."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta

import pytest

from rules.agronomy.errors import UnknownStage
from rules.agronomy.label import (
    EarlierSpray,
    Label,
    Shown,
    Situation,
    findings,
    judge,
    latest_day,
    likely_harvest,
    load,
)

TABLES = load()
ON = date(2027, 8, 10)

LABEL = Label(
    name="Invented one",
    active_ingredients=("azoxystrobin", "propiconazole"),
    frac_groups=("11", "3"),
    disorders=("southern_rust", "gray_leaf_spot"),
    uses=("grain", "silage"),
    states=("IA", "NE"),
    stages=("V5", "R4"),
    preharvest_days=(("grain", 30), ("silage", 20)),
    reentry_hours=12,
    max_applications=2,
    min_interval_days=14,
    methods=("ground", "aerial"),
    min_gal_ac=(("ground", 10.0), ("aerial", 2.0)),
    adjuvants="none before tassel",
    forage="none",
    plant_back="none",
    restricted_use=False,
    typed_on=date(2027, 3, 1),
)
AT = Situation(
    on=ON,
    disorder="southern_rust",
    use="grain",
    state="Iowa",
    stage="R3",
    method="aerial",
    sprays=(),
)


def refusals(label: Label, at: Situation) -> set[str]:
    return {f.field for f in findings(label, at, TABLES) if f.shown is Shown.DOES_NOT}


def open_questions(label: Label, at: Situation) -> set[str]:
    return {f.field for f in findings(label, at, TABLES) if f.shown in (Shown.NOT_SHOWN, Shown.NOT_TYPED)}


# ---------------------------------------------------------------- all told, all kept


def test_a_label_with_every_limit_told_and_kept_fits() -> None:
    verdict = judge(LABEL, AT, TABLES)
    assert verdict.fits
    assert verdict.name == "Invented one"
    assert "southern rust is on the label" in verdict.because


def test_a_verdict_never_speaks_of_an_amount_of_product() -> None:
    """The words of the user's own text fields stay where they are, so a rate in them is not repeated."""
    label = replace(LABEL, adjuvants="surfactant at 0.25 % v/v, 7 fl oz/ac")
    for at in (AT, replace(AT, disorder=None), replace(AT, on=AT.on + timedelta(days=60))):
        told = " ".join(judge(label, at, TABLES).because)
        assert "oz" not in told
        assert "%" not in told


# ---------------------------------------------------------------- empty is never fitting


@pytest.mark.parametrize("name", [f.name for f in fields(Label) if f.name not in ("name", "demo")])
def test_no_field_of_a_label_left_empty_fits(name: str) -> None:
    verdict = judge(replace(LABEL, **{name: None}), AT, TABLES)
    assert not verdict.fits
    assert len(verdict.because) == 1
    assert verdict.because[0].startswith("not yet shown to fit, because not typed in")


@pytest.mark.parametrize(
    "name", ["active_ingredients", "frac_groups", "disorders", "uses", "states", "methods"]
)
def test_an_empty_list_is_as_good_as_nothing(name: str) -> None:
    assert not judge(replace(LABEL, **{name: ()}), AT, TABLES).fits


@pytest.mark.parametrize("name", ["disorder", "use", "state", "stage", "method", "sprays"])
def test_nothing_fits_a_field_of_which_it_is_not_told(name: str) -> None:
    at = replace(AT, **{name: None})
    verdict = judge(LABEL, at, TABLES)
    assert not verdict.fits
    assert refusals(LABEL, at) == set()
    assert all(reason.startswith("not yet shown to fit: ") for reason in verdict.because)


def test_an_interval_told_for_another_use_does_not_count() -> None:
    label = replace(LABEL, preharvest_days=(("silage", 20),))
    assert open_questions(label, AT) == {"preharvest_days"}


def test_a_label_that_goes_on_once_needs_no_days_between() -> None:
    assert judge(replace(LABEL, max_applications=1, min_interval_days=None), AT, TABLES).fits


def test_refusals_stand_before_open_questions() -> None:
    verdict = judge(LABEL, replace(AT, disorder="tar_spot", method=None), TABLES)
    assert verdict.because[0] == "tar spot is not on the label"
    assert verdict.because[1].startswith("not yet shown to fit")


# ---------------------------------------------------------------- disease, use, state, method


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"disorder": "tar_spot"}, "disorders"),
        ({"use": "sweet_corn", "earliest_harvest": 60}, "uses"),
        ({"state": "KS"}, "states"),
        ({"state": "kansas"}, "states"),
        ({"method": "drone"}, "methods"),
        ({"method": "aerial", "volume_gal_ac": 1.5}, "min_gal_ac"),
        ({"stage": "V4"}, "stages"),
    ],
)
def test_what_the_label_does_not_hold_is_refused(change: dict[str, object], field: str) -> None:
    assert field in refusals(LABEL, replace(AT, **change))  # type: ignore[arg-type]


@pytest.mark.parametrize("state", ["IA", "ia", "Iowa", " iowa ", "NEBRASKA"])
def test_a_state_by_letters_or_name(state: str) -> None:
    assert judge(LABEL, replace(AT, state=state), TABLES).fits


def test_a_label_for_all_states_still_needs_the_state() -> None:
    everywhere = replace(LABEL, states=("ALL",))
    assert judge(everywhere, replace(AT, state="Kansas"), TABLES).fits
    assert not judge(everywhere, replace(AT, state=None), TABLES).fits
    assert open_questions(everywhere, replace(AT, state="the valley")) == {"states"}


def test_a_use_by_the_crop_word_of_a_note() -> None:
    assert judge(LABEL, replace(AT, use="dent"), TABLES).fits


def test_enough_volume_fits() -> None:
    assert judge(LABEL, replace(AT, volume_gal_ac=2), TABLES).fits


# ---------------------------------------------------------------- stage


@pytest.mark.parametrize(
    ("stage", "milk_line", "last", "shown"),
    [
        ("R4", None, "R4", Shown.FITS),
        ("R5", None, "R4", Shown.DOES_NOT),
        ("R5", None, "R5", Shown.FITS),
        ("R5.75", None, "R5", Shown.FITS),
        ("R6", None, "R5", Shown.DOES_NOT),
        ("R5", None, "R5.25", Shown.NOT_SHOWN),
        ("R5", 0.1, "R5.25", Shown.FITS),
        ("R5", 0.3, "R5.25", Shown.FITS),
        ("R5", 0.5, "R5.25", Shown.DOES_NOT),
    ],
)
def test_the_last_stage_allowed(stage: str, milk_line: float | None, last: str, shown: Shown) -> None:
    label = replace(LABEL, stages=("V5", last))
    at = replace(AT, stage=stage, milk_line=milk_line, earliest_harvest=100)
    (found,) = (f for f in findings(label, at, TABLES) if f.field == "stages")
    assert found.shown is shown


def test_a_stage_that_does_not_exist_is_an_error() -> None:
    with pytest.raises(UnknownStage):
        judge(LABEL, replace(AT, stage="R7"), TABLES)


# ---------------------------------------------------------------- days to harvest


def test_the_earliest_likely_grain_harvest_takes_the_short_ends() -> None:
    """R4 on 10 August: 28 days (in_cca20, ky_v), then 30 to 25 % at 1 point a day (osu_dry23, isu_ext)."""
    at = replace(AT, stage="R4")
    assert likely_harvest(at, TABLES) == date(2027, 8, 10) + timedelta(days=28 + 5)


def test_silage_is_cut_at_half_milk_line_long_before_grain() -> None:
    """Half milk line 42 to 47 days after silking (w_frost, w_hay): from dough (to day 28) 14 at least."""
    grain, silage = (likely_harvest(replace(AT, stage="R4", use=use), TABLES) for use in ("grain", "silage"))
    assert silage == ON + timedelta(days=42 - 28)
    assert grain is not None
    assert silage < grain


@pytest.mark.parametrize(("days", "does"), [(29, False), (30, True), (31, True)])
def test_the_day_before_the_interval_the_day_and_the_day_after(days: int, does: bool) -> None:
    assert judge(LABEL, replace(AT, earliest_harvest=days), TABLES).fits is does
    assert judge(LABEL, replace(AT, earliest_harvest=ON + timedelta(days=days)), TABLES).fits is does


def test_harvest_in_20_days_with_30_wanted_is_not_allowed() -> None:
    """unl08: an ingredient with 30 days to harvest."""
    verdict = judge(LABEL, replace(AT, earliest_harvest=20), TABLES)
    assert not verdict.fits
    assert verdict.because == (
        "the label wants 30 days before a harvest of grain, but the earliest likely harvest is 2027-08-30, "
        "20 days off; the last day to spray is 2027-07-31",
    )


def test_dough_leaves_room_for_30_days_on_grain_and_not_for_20_on_silage() -> None:
    assert "preharvest_days" not in refusals(LABEL, replace(AT, stage="R4"))
    assert "preharvest_days" in refusals(LABEL, replace(AT, stage="R4", use="silage"))


def test_the_worked_example_of_the_last_day() -> None:
    """Harvest on 22 September and 30 days: the last day is 23 August (arithmetic)."""
    assert latest_day(LABEL, replace(AT, earliest_harvest=date(2027, 9, 22)), TABLES) == date(2027, 8, 23)
    assert latest_day(replace(LABEL, preharvest_days=None), AT, TABLES) is None
    assert latest_day(LABEL, replace(AT, stage=None), TABLES) is None


# ---------------------------------------------------------------- earlier sprays

SOLO = replace(LABEL, name="Solo", active_ingredients=("pyraclostrobin",), frac_groups=("11",))


def spray(days_ago: int | None, *groups: str, label: str | None = None) -> EarlierSpray:
    on = None if days_ago is None else ON - timedelta(days=days_ago)
    return EarlierSpray(on=on, groups=groups, label=label)


@pytest.mark.parametrize(
    ("earlier", "shown"),
    [
        ((), Shown.FITS),
        # uc_sg, cpn24: one high-risk mode of action by itself twice is refused
        ((spray(21, "11", label="Other"),), Shown.DOES_NOT),
        ((spray(40, "11", label="Other"), spray(21, "3", label="Other")), Shown.DOES_NOT),
        ((spray(21, "3", label="Other"),), Shown.FITS),
        ((spray(21, "11", "3", label="Other"),), Shown.FITS),
        ((spray(21, label="Other"),), Shown.NOT_SHOWN),
        ((spray(None, "11", label="Other"),), Shown.DOES_NOT),
        ((spray(400, "11", label="Other"),), Shown.FITS),  # another season
        ((spray(-3, "11", label="Other"),), Shown.FITS),  # not yet sprayed on that day
    ],
)
def test_one_mode_of_action_by_itself_is_not_repeated(
    earlier: tuple[EarlierSpray, ...], shown: Shown
) -> None:
    (found,) = (f for f in findings(SOLO, replace(AT, sprays=earlier), TABLES) if f.field == "frac_groups")
    assert found.shown is shown


def test_a_mixture_may_follow_one_of_its_groups() -> None:
    assert judge(LABEL, replace(AT, sprays=(spray(21, "11", label="Solo"),)), TABLES).fits


def test_a_multi_site_ingredient_may_be_repeated() -> None:
    contact = replace(LABEL, name="Contact", active_ingredients=("chlorothalonil",), frac_groups=("M05",))
    assert judge(contact, replace(AT, sprays=(spray(21, "M05", label="Other"),)), TABLES).fits


@pytest.mark.parametrize(
    ("earlier", "shown"),
    [
        ((spray(20, label="invented  ONE"),), Shown.FITS),
        ((spray(20, label="Invented one"), spray(40, label="Invented one")), Shown.DOES_NOT),
        ((spray(20, label="Invented one"), spray(40, "11", "3")), Shown.NOT_SHOWN),  # may have been it
        (
            (spray(20, label="Invented one"), spray(40, "11")),
            Shown.NOT_SHOWN,
        ),  # perhaps half heard
        ((spray(20, label="Invented one"), spray(40, "7")), Shown.FITS),  # was something else
        ((spray(20, label="Invented one"), spray(380, label="Invented one")), Shown.FITS),
    ],
)
def test_the_most_applications_a_season(earlier: tuple[EarlierSpray, ...], shown: Shown) -> None:
    at = replace(AT, sprays=earlier)
    (found,) = (f for f in findings(LABEL, at, TABLES) if f.field == "max_applications")
    assert found.shown is shown


@pytest.mark.parametrize(
    ("earlier", "shown"),
    [
        (spray(13, label="Invented one"), Shown.DOES_NOT),
        (spray(14, label="Invented one"), Shown.FITS),
        (spray(None, label="Invented one"), Shown.NOT_SHOWN),
        (spray(5), Shown.NOT_SHOWN),
        (spray(5, "7"), Shown.FITS),
        (spray(5, label="Other"), Shown.FITS),
    ],
)
def test_the_days_between_applications(earlier: EarlierSpray, shown: Shown) -> None:
    at = replace(AT, sprays=(earlier,))
    (found,) = (f for f in findings(LABEL, at, TABLES) if f.field == "min_interval_days")
    assert found.shown is shown


# ---------------------------------------------------------------- what is said beside


def test_a_demo_label_says_that_it_is_invented_whether_it_fits_or_not() -> None:
    demo = replace(LABEL, demo=True)
    for at in (AT, replace(AT, disorder="tar_spot")):
        assert "no such product exists" in judge(demo, at, TABLES).because[-1]


def test_a_label_of_an_earlier_season_is_to_be_held_against_the_one_in_hand() -> None:
    old = judge(replace(LABEL, typed_on=date(2026, 3, 1)), AT, TABLES)
    assert old.fits
    assert "in an earlier season" in old.because[-1]


def test_restricted_use_is_said() -> None:
    told = judge(replace(LABEL, restricted_use=True), AT, TABLES)
    assert told.fits
    assert any("certified applicator" in reason for reason in told.because)


def test_the_shipped_words_and_bounds_are_whole() -> None:
    uses = {use.crop_type for use in TABLES.book.use}
    assert uses == {ripe.crop_type for ripe in TABLES.agronomy.harvest.ripe}
    assert len(TABLES.book.states.names) == len({code for code, _ in TABLES.book.states.names}) == 50
