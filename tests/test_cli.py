"""The commands as programs use them: JSON, exit statuses, standard output and error apart."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
SOUTHERN = (
    "small orange pustules packed on top of the leaf, rubs off orange, nothing underneath, ear leaf and below, "
    "milk stage, 85 and humid"
)


def earleaf(*words: str, book: Path | None = None, stdin: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "EARLEAF_AUTHOR": "test"}
    environment.pop("EARLEAF_CASEBOOK", None)
    if book:
        environment["EARLEAF_CASEBOOK"] = str(book)
    return subprocess.run(
        [sys.executable, "-m", "assistant", *words],
        input=stdin,
        capture_output=True,
        env=environment,
        check=False,
    )


def answer(text: str, *more: str) -> dict[str, Any]:
    done = earleaf("note", "-", "--json", "--no-save", "--date", "2027-07-28", *more, stdin=text.encode())
    assert done.returncode == 0, done.stderr
    made: dict[str, Any] = json.loads(done.stdout)
    return made["entries"][0]


def test_southern_rust_fits_and_the_label_is_deferred_to() -> None:
    entry = answer(SOUTHERN)
    first = entry["differential"][0]
    assert (first["disorder"], first["standing"]) == ("southern_rust", "fits")
    assert entry["stage"]["code"] == "R3"
    assert entry["stage"]["days_to_r6"][0] < entry["stage"]["days_to_r6"][1]
    assert entry["decision"]["because"]
    assert all(reason["sources"] for reason in entry["decision"]["because"])
    assert "label_governs" in [c["rule"] for c in entry["cautions"]]


def test_raised_brown_bumps_on_both_sides_are_common_rust_and_not_sprayed() -> None:
    entry = answer(f"raised brown bumps both sides, {SOUTHERN.split('nothing underneath, ')[1]}")
    assert entry["differential"][0]["disorder"] == "common_rust"
    assert entry["decision"]["action"] == "no_spray"


def test_flat_spots_in_bands_after_whorl_water_are_physoderma_and_not_sprayed() -> None:
    entry = answer(
        "purple-brown spots in bands across the leaf, midrib too, nothing raised, nothing rubs off, "
        "whorl was under water in June"
    )
    assert entry["differential"][0]["disorder"] == "physoderma_brown_spot"
    assert entry["decision"]["action"] == "no_spray"


def test_with_the_underside_not_mentioned_neither_rust_fits() -> None:
    entry = answer(
        "small brownish orange pustules on the leaf, rubs off, ear leaf and below, milk stage, 85 and humid"
    )
    first, second = entry["differential"][:2]
    assert {first["disorder"], second["disorder"]} == {"southern_rust", "common_rust"}
    assert "fits" not in (first["standing"], second["standing"])
    assert entry["next_check"]["attribute"] == "leaf_surface"


def test_the_same_words_give_the_same_bytes() -> None:
    asked = ("note", SOUTHERN, "--json", "--no-save", "--date", "2027-07-28")
    assert earleaf(*asked).stdout == earleaf(*asked).stdout


def test_no_save_leaves_no_file(tmp_path: Path) -> None:
    book = tmp_path / "book.db"
    assert earleaf("note", SOUTHERN, "--no-save", book=book).returncode == 0
    assert list(tmp_path.iterdir()) == []


def test_a_text_that_begins_with_a_dash_is_text() -> None:
    done = earleaf("note", "- tassel\n- underside clean", "--json", "--no-save")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["entries"][0]["stage"]["code"] == "VT"


@pytest.mark.parametrize(
    "words",
    [
        ("note", ""),
        ("note", "x", "--date", "July"),
        ("note", "x", "--case", "nowhere-2027"),
        ("history", "nowhere"),
        ("nonsense",),
        ("batch", "/nowhere.jsonl"),
    ],
)
def test_wrong_words_end_with_2_and_say_why(words: tuple[str, ...], tmp_path: Path) -> None:
    done = earleaf(*words, book=tmp_path / "book.db")
    assert done.returncode == 2, done.stderr
    assert done.stdout == b""
    assert done.stderr.strip()


def test_invalid_utf_8_is_read_as_far_as_it_goes() -> None:
    done = earleaf("note", "-", "--json", "--no-save", stdin=b"tar spot \xff\xfe on the ear leaf, R3")
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["entries"][0]["stage"]["code"] == "R3"


def test_a_saved_note_is_joined_by_its_case_and_found_again(tmp_path: Path) -> None:
    book = tmp_path / "book.db"
    day = ("--date", "2027-07-28")
    first = earleaf(
        "note",
        "North eighty, R3, small orange brown pustules on the ear leaf, rubs off, 85 and humid",
        "--json",
        *day,
        book=book,
    )
    entry = json.loads(first.stdout)["entries"][0]
    assert entry["next_check"]["attribute"] == "leaf_surface"
    second = earleaf("note", "nope, clean underneath", "--json", "--case", entry["case"], *day, book=book)
    joined = json.loads(second.stdout)["entries"][0]
    assert joined["case"] == entry["case"]
    assert joined["differential"][0]["disorder"] == "southern_rust"
    assert {f["attribute"] for f in joined["facts"] if f.get("earlier")} >= {"lesion_form"}
    assert b"north eighty" in earleaf("history", "north 80", book=book).stdout.lower()
    assert b"2027-07-28" in earleaf("season", "2027", "--as", "csv", book=book).stdout
    assert earleaf("due", "--on", "2027-07-28", book=book).returncode == 0
    assert earleaf("check", book=book).returncode == 0


def test_batch_keeps_the_order_and_reports_bad_lines(tmp_path: Path) -> None:
    lines = [
        json.dumps(
            {"id": n, "text": f"V{n % 9 + 6}, common rust, brick red, both sides", "date": "2027-06-30"}
        )
        for n in range(40)
    ]
    lines[7] = "{no json"
    lines[8] = json.dumps({"id": "b", "text": 3})
    lines[9] = json.dumps({"id": "c", "text": "R3", "date": "soon"})
    lines[10] = json.dumps({"id": "d", "text": "R3", "extra": 1})
    file = tmp_path / "notes.jsonl"
    file.write_text("\n".join(lines), encoding="utf-8")
    one = earleaf("batch", str(file), "--no-save")
    two = earleaf("batch", "-", "--no-save", "--jobs", "2", stdin=file.read_bytes())
    assert one.returncode == two.returncode == 2
    assert one.stdout == two.stdout
    made = [json.loads(line) for line in one.stdout.splitlines()]
    assert len(made) == 40
    assert [m["id"] for m in made if "answer" in m] == [n for n in range(40) if n not in (7, 8, 9, 10)]
    assert [m["id"] for m in made if "error" in m] == [8, "b", "c", "d"]
    assert all(m["error"]["code"] == "WrongWords" for m in made if "error" in m)


def test_lines_of_a_batch_join_only_through_an_equal_case(tmp_path: Path) -> None:
    first = {
        "id": 1,
        "text": "small orange brown pustules on the ear leaf, rubs off, R3, 85 and humid",
        "case": "x",
    }
    lines = [first, {"id": 2, "text": "clean underneath", "case": "x"}, {"id": 3, "text": "clean underneath"}]
    done = earleaf("batch", "-", "--no-save", stdin="\n".join(map(json.dumps, lines)).encode())
    made = [json.loads(line)["answer"]["entries"][0] for line in done.stdout.splitlines()]
    assert made[1]["differential"][0]["disorder"] == "southern_rust"
    assert not any(
        c["disorder"] == "southern_rust" and c["probability"] > 0.5 for c in made[2]["differential"]
    )


def test_jobs_need_no_save(tmp_path: Path) -> None:
    done = earleaf("batch", "-", "--jobs", "2", stdin=b"{}", book=tmp_path / "b.db")
    assert done.returncode == 2


def test_answers_keep_to_the_published_schema() -> None:
    import jsonschema

    schema = json.loads(earleaf("schema").stdout)
    for text in (SOUTHERN, "corn at three ninety", "North eighty clean. River farm has tar spot, R2."):
        done = earleaf("note", text, "--json", "--no-save")
        jsonschema.validate(json.loads(done.stdout), schema)
