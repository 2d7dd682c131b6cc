"""Whole notes, messy on purpose: named one thing and described another, denials, two fields, odd input."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.scoring import answer, loaded

ON = date(2027, 7, 28)
ROOT = Path(__file__).resolve().parent.parent


def entries(text: str) -> list[dict[str, Any]]:
    made: list[dict[str, Any]] = answer(text, ON)["entries"]
    return made


def test_named_tar_spot_but_it_wiped_clean() -> None:
    """The name is a claim; what was seen outweighs it (omafra20: the wet rub)."""
    entry = entries(
        "thought it might be tar spot, black specks, but I wet my finger and they wiped right off, R2"
    )[0]
    ranked = {c["disorder"]: c for c in entry["differential"]}
    assert entry["differential"][0]["disorder"] == "insect_frass_or_residue"
    assert ranked["tar_spot"]["standing"] == "ruled_out"
    assert entry["decision"]["action"] == "no_spray"


def test_named_gray_leaf_spot_but_described_the_streak() -> None:
    entry = entries(
        "guess it is gray leaf spot, but the edges are wavy and it lights up yellow when I hold it to the sun, tassel"
    )[0]
    assert entry["differential"][0]["disorder"] == "bacterial_leaf_streak"
    assert entry["decision"]["action"] in ("no_spray", "scout", "sample")


def test_denials_are_not_finds() -> None:
    entry = entries("no gray leaf spot, no northern, no tar spot, nothing on the ear leaf, R2")[0]
    assert entry["problems"] == []
    assert entry["decision"]["action"] == "no_spray"
    assert {f["status"] for f in entry["facts"] if f["attribute"] == "problem"} == {"absent"}


def test_two_fields_are_two_entries_with_their_own_decisions() -> None:
    made = entries(
        "West quarter's clean, dent. The river place though, southern rust packed orange on top, nothing underneath, "
        "ear leaf and up, R2, 88 and humid"
    )
    assert [e["decision"]["action"] for e in made] == ["no_spray", "spray"]
    assert [e["stage"]["code"] for e in made] == ["R5", "R2"]


def test_what_was_not_understood_is_shown_and_nothing_is_dropped() -> None:
    entry = entries("tar spot on the ear leaf, R2, and the frobnicator was zanged")[0]
    assert any("frobnicator" in u["text"] for u in entry["not_understood"])


def test_a_price_is_noted_and_nothing_is_decided() -> None:
    entry = entries("corn at three ninety, twenty six an acre with the ground rig")[0]
    assert entry["decision"] is None
    assert entry["differential"] == []
    assert next(n for n in entry["numbers"] if n["name"] == "break_even_bu_ac")["value"] == pytest.approx(6.7)


@given(st.text(max_size=300))
@settings(max_examples=60, deadline=None)
def test_any_text_gives_an_answer_with_spans_inside_it(text: str) -> None:
    for entry in answer(text or " ", ON)["entries"]:
        for fact in (*entry["facts"], *entry["not_understood"]):
            start, end = fact["span"]
            assert 0 <= start <= end <= len(text or " ")
        assert all(round(sum(c["probability"] for c in p["differential"]), 6) == 1 for p in entry["problems"])


@pytest.mark.slow
def test_a_batch_of_a_thousand_notes_keeps_its_order_and_reports_bad_lines(tmp_path: Path) -> None:
    words = [
        json.loads(line)
        for name in ("notes_blind_a.jsonl", "notes_blind_b.jsonl")
        for line in (ROOT / "tests" / "cases" / name).read_text(encoding="utf-8").splitlines()
    ]
    lines = [
        json.dumps({"id": n, "text": words[n % len(words)]["text"], "date": "2027-07-28"})
        for n in range(1000)
    ]
    lines[500] = "no json"
    file = tmp_path / "thousand.jsonl"
    file.write_text("\n".join(lines), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "assistant", "batch", str(file), "--no-save", "--jobs", "2"],
        capture_output=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert done.returncode == 2, done.stderr
    made = [json.loads(line) for line in done.stdout.splitlines()]
    assert [m["id"] for m in made] == [n if n != 500 else 501 for n in range(1000)]
    assert [n for n, m in enumerate(made) if "error" in m] == [500]


def test_the_knowledge_hash_is_the_same_for_the_same_tables() -> None:
    from importlib.resources import files

    from rules.tables import fingerprint

    assert loaded().knowledge == fingerprint(files("assistant.reading") / "words")
