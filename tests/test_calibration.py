"""Said against found on drawn notes: "fits" is right, and never said before the classic look-alike is parted.

The notes come from tests/cases/frequencies.toml, whose figures are judgement from the published descriptions
that each record names; the pairs and what parts them are those of the same publications.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from rules.tables import load
from tests.bench.calibration import BINS, RIVAL, Told, reliability, run, share, unparted
from tests.bench.drawing import MISTAKEN, SIDES, disorders, draw, frequencies, parted, words

CASES = 80
SEED = 1
RIGHT = 0.95
#: How far "found" may fall short of "said" in a bin, and the notes that a bin must hold to be judged.
SHORT_OF = 0.05
ENOUGH = 50
COMMONEST = (
    "southern_rust", "common_rust", "physoderma_brown_spot", "tar_spot", "gray_leaf_spot",
    "northern_corn_leaf_blight", "southern_corn_leaf_blight", "northern_corn_leaf_spot", "eyespot",
    "anthracnose_leaf_blight", "bacterial_leaf_streak", "goss_wilt",
)  # fmt: skip


@pytest.fixture(scope="module")
def told() -> list[Told]:
    return run(CASES, SEED)


def listed(notes: list[Told]) -> str:
    return "\n".join(map(str, notes))


def test_what_is_said_to_fit_is_right(told: list[Told]) -> None:
    print("\n" + reliability(told))
    sure = [one for one in told if one.fits]
    assert len(sure) > ENOUGH, "a program that is never sure would pass"
    assert share(sure, lambda one: one.right) >= RIGHT, listed([one for one in sure if not one.right])


def test_nothing_fits_before_its_classic_look_alike_is_parted(told: list[Told]) -> None:
    """Southern and common rust: the leaf turned over; and so for every pair of the file."""
    live = [found for found in unparted(told) if found.probability > RIVAL]
    assert not live, "\n".join(f"not parted from {u.rival} ({u.probability:.3f}): {u.told}" for u in live)


def test_no_probability_promises_more_than_is_found(told: list[Told]) -> None:
    for low, high in pairwise(BINS):
        inside = [one for one in told if one.ranked and low <= one.ranked[0][1] < high]
        if len(inside) >= ENOUGH:
            said = sum(one.ranked[0][1] for one in inside) / len(inside)
            found = share(inside, lambda one: one.right)
            assert found >= said - SHORT_OF, f"said {said:.3f}, found {found:.3f}"


def test_a_draw_depends_on_its_seed_alone() -> None:
    assert draw("tar_spot", 3, SEED) == draw("tar_spot", 3, SEED)
    assert draw("tar_spot", 3, SEED) != draw("tar_spot", 3, SEED + 1)


def test_about_the_share_said_is_mistaken() -> None:
    seen = [one for name in disorders() for number in range(CASES) for one in draw(name, number, SEED).seen]
    assert sum(one.mistaken for one in seen) / len(seen) == pytest.approx(MISTAKEN, abs=0.01)


def test_a_leaf_that_nobody_turned_parts_no_rust() -> None:
    pair = next(p for p in frequencies()["parting"] if p["pair"] == ["southern_rust", "common_rust"])
    notes = [draw("southern_rust", number, SEED) for number in range(CASES)]
    turned = [(one, note) for note in notes for one in note.seen if one.attribute == "leaf_surface"]
    sides = {one.word: parted(pair, note.seen) for one, note in turned}
    assert sides["upper_only"]
    assert sides["both"]
    assert not sides["upper"]


def test_the_frequencies_hold_together() -> None:
    assert set(COMMONEST) <= set(disorders())
    tables = load()
    for name in disorders():
        record = frequencies()[name]
        assert name in tables.disorders
        assert record["reason"]
        assert set(record["source"]) <= set(tables.sources), name
        looks = record.get("looks", {"any": 1.0})
        assert sum(looks.values()) == pytest.approx(1), name
        for sign in record["sign"]:
            where = f"{name}, {sign['attribute']}"
            assert sum(sign["shares"].values()) == pytest.approx(1), where
            assert 0 < sign.get("looked", frequencies()["looked"].get(sign["attribute"], 0)) <= 1, where
            assert set(sign.get("look", looks)) <= set(looks), where


def test_every_word_of_the_frequencies_is_in_the_vocabulary() -> None:
    attributes = load().attributes
    for attribute in {sign["attribute"] for name in disorders() for sign in frequencies()[name]["sign"]}:
        if attributes[attribute].kind == "id":
            said = {word.removeprefix("no ") for word in words(attribute)}
            allowed = {*attributes[attribute].values, *(SIDES if attribute == "leaf_surface" else ())}
            assert said <= allowed, f"{attribute}: {said - allowed}"


def test_the_pairs_name_disorders_and_what_is_observed() -> None:
    known = load().attributes
    for pair in frequencies()["parting"]:
        assert set(pair["pair"]) <= set(disorders()), pair
        assert {by.partition(".")[0] for by in pair["by"]} <= set(known), pair
        assert set(pair["source"]) <= set(load().sources), pair
