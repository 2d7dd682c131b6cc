"""Copies of a casebook, going back to them, and what is refused so that nothing is lost."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from assistant.casebook.book import Casebook
from assistant.casebook.errors import CasebookBusy, CasebookDamaged, CasebookError, NoCasebook, NotACasebook
from assistant.casebook.keep import WouldLose, backup, content, digest, integrity, restore, same_content
from assistant.casebook.rows import NewEntry

THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
DAY = date(2027, 7, 28)
BENCH = Path(__file__).parent / "bench"


def add(path: Path, *texts: str) -> None:
    with Casebook.open(path) as book:
        for text in texts:
            book.record(NewEntry(author="ann", made_at=THEN, about=DAY, kind="note", body={"text": text}))


def texts(path: Path) -> list[str]:
    with Casebook.open_readonly(path) as book:
        return [entry.text for entry in book.entries_all()]


def names(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def damage(path: Path) -> None:
    data = path.read_bytes()
    path.write_bytes(data[:2048] + b"\xff" * 6000 + data[8048:])


@pytest.fixture
def path(tmp_path: Path) -> Path:
    add(tmp_path / "casebook.db", "one", "two")
    return tmp_path / "casebook.db"


# ---------------------------------------------------------------- copies


def test_a_copy_is_one_sound_file_with_everything(path: Path) -> None:
    out = path.parent / "copies" / "monday.db"
    with Casebook.open(path) as book:
        book.record(
            NewEntry(author="ann", made_at=THEN, about=DAY, kind="note", body={"text": "in the log still"})
        )
        kept = backup(path, out)
        assert (kept.path, kept.entries, kept.old) == (out, 3, None)
        with Casebook.open_readonly(out) as copy:
            assert same_content(book, copy)
            assert digest(book) == digest(copy)
    assert names(out.parent) == ["monday.db"]
    assert integrity(out) == ()


def test_a_newer_copy_takes_the_place_of_an_older_one(path: Path) -> None:
    out = path.parent / "copy.db"
    backup(path, out)
    add(path, "three")
    assert backup(path, out).entries == 3
    assert texts(out) == ["one", "two", "three"]
    assert names(path.parent) == ["casebook.db", "copy.db"]


def test_a_copy_that_knows_more_is_not_replaced(path: Path) -> None:
    out = path.parent / "copy.db"
    backup(path, out)
    add(out, "only here")
    with pytest.raises(WouldLose, match=r"holds 1 entries .* latest by ann"):
        backup(path, out)
    assert texts(out) == ["one", "two", "only here"]


def test_a_file_of_somebody_else_is_not_replaced(path: Path) -> None:
    out = path.parent / "thesis.txt"
    out.write_text("two years of work")
    with pytest.raises(NotACasebook):
        backup(path, out)
    assert out.read_text() == "two years of work"


def test_nothing_to_copy_and_a_damaged_casebook(path: Path) -> None:
    out = path.parent / "copy.db"
    with pytest.raises(NoCasebook):
        backup(path.parent / "nowhere.db", out)
    damage(path)
    with pytest.raises(CasebookError):
        backup(path, out)
    assert names(path.parent) == ["casebook.db"]


# ---------------------------------------------------------------- going back


def test_going_back_keeps_the_old_file_beside(path: Path) -> None:
    copy = path.parent / "copy.db"
    backup(path, copy)
    kept = restore(copy, path)
    assert kept.old == path.with_name("casebook.db.old-1")
    assert kept.old is not None
    assert texts(path) == texts(kept.old) == texts(copy) == ["one", "two"]
    assert restore(copy, path).old == path.with_name("casebook.db.old-2")


def test_a_newer_casebook_is_not_overwritten_unless_told(path: Path) -> None:
    copy = path.parent / "copy.db"
    backup(path, copy)
    add(path, "said since")
    with pytest.raises(WouldLose, match="going back would lose them"):
        restore(copy, path)
    assert texts(path) == ["one", "two", "said since"]
    kept = restore(copy, path, lose=True)
    assert texts(path) == ["one", "two"]
    assert kept.old is not None
    assert texts(kept.old) == ["one", "two", "said since"]


def test_going_back_after_damage_and_after_loss(path: Path) -> None:
    copy = path.parent / "copy.db"
    backup(path, copy)
    damage(path)
    broken = path.read_bytes()
    assert integrity(path)
    kept = restore(copy, path)
    assert kept.old is not None
    assert kept.old.read_bytes() == broken
    path.unlink()
    assert restore(copy, path).old is None
    assert texts(path) == ["one", "two"]


def test_a_damaged_copy_is_not_gone_back_to(path: Path) -> None:
    copy = path.parent / "copy.db"
    backup(path, copy)
    with closing(sqlite3.connect(copy, isolation_level=None)) as file:
        file.execute("INSERT INTO answers VALUES ('gone', 'k', '{}')")
    with pytest.raises(CasebookDamaged, match="answers"):
        restore(copy, path)
    assert texts(path) == ["one", "two"]
    with pytest.raises(NoCasebook):
        restore(path.parent / "nowhere.db", path)


def test_a_casebook_that_is_open_elsewhere_is_left_alone(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("assistant.casebook.keep._PATIENCE_S", 0.05)
    copy = path.parent / "copy.db"
    backup(path, copy)
    with Casebook.open(path) as book:
        book.entries_all()
        with pytest.raises(CasebookBusy):
            restore(copy, path)
        book.record(NewEntry(author="ann", made_at=THEN, about=DAY, kind="note", body={"text": "still here"}))
    assert texts(path) == ["one", "two", "still here"]


# ---------------------------------------------------------------- the same or not


def test_content_is_what_was_said_not_where_it_lies(path: Path) -> None:
    with Casebook.open_readonly(path) as book, Casebook.open_copy(None) as other:
        assert not same_content(book, other)
        other.bring_in(tuple(reversed(book.journal())))
        assert same_content(book, other)
        assert list(content(other)) == [entry.uid for entry in other.journal()]


# ---------------------------------------------------------------- killed while saving


def test_killed_at_random_moments_nothing_that_was_said_to_be_saved_is_lost() -> None:
    """The bench of the same name, with few kills."""
    run = subprocess.run(
        [sys.executable, str(BENCH / "kill.py"), "--kills", "3", "--seed", "1"],
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    assert "3 kills, 0 entries lost" in run.stdout
