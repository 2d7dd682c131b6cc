"""Opening casebooks: new, old, newer, somebody else's, broken, busy, from several programs at once."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlite_utils import Database

from assistant.casebook import connect
from assistant.casebook.book import Casebook
from assistant.casebook.errors import (
    CasebookBusy,
    CasebookDamaged,
    CasebookError,
    CasebookReadOnly,
    CasebookUnreachable,
    DiskFull,
    NewerCasebook,
    NoCasebook,
    NotACasebook,
)
from assistant.casebook.rows import NewEntry
from assistant.casebook.schema import VERSION, migrations
from rules.model import EarleafError

DAY = date(2027, 7, 28)
THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
ROOT = Path(__file__).parents[1]

#: What another program does: waits for the starting gun, then saves, and says so after each save.
SAVER = """
import sys, time
from datetime import date, datetime, UTC
from pathlib import Path
from assistant.casebook.book import Casebook
from assistant.casebook.rows import NewEntry
path, author, many, gun = sys.argv[1], sys.argv[2], int(sys.argv[3]), Path(sys.argv[4])
print("ready", flush=True)
while not gun.exists():
    time.sleep(0.001)
with Casebook.open(path) as book:
    for i in range(many):
        note = NewEntry(author=author, made_at=datetime(2027, 7, 28, tzinfo=UTC), about=date(2027, 7, 28),
                        kind="note", body={"text": f"{author} {i}"})
        book.record(note)
        print(author, i, flush=True)
"""


def note(text: str = "spring draw, rust on the ear leaf", author: str = "ann") -> NewEntry:
    return NewEntry(author=author, made_at=THEN, about=DAY, kind="note", body={"text": text})


def start(path: Path, author: str, many: int, gun: Path) -> subprocess.Popen[str]:
    saver = subprocess.Popen(
        [sys.executable, "-c", SAVER, str(path), author, str(many), str(gun)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), *sys.path])},
    )
    assert saver.stdout is not None
    assert saver.stdout.readline() == "ready\n"
    return saver


def finish(*savers: subprocess.Popen[str]) -> list[int]:
    """Waits for all of them, and gives how many saves each of them reported."""
    ends = [(saver, *saver.communicate(timeout=60)) for saver in savers]
    assert [(saver.returncode, err) for saver, _, err in ends] == [(0, "")] * len(savers)
    return [len(out.splitlines()) for _, out, _ in ends]


def texts(path: Path) -> list[str]:
    with Casebook.open_readonly(path) as book:
        return [entry.text for entry in book.entries_all("note")]


def folder(path: Path) -> dict[str, tuple[int, int]]:
    return {each.name: (each.stat().st_size, each.stat().st_mtime_ns) for each in path.iterdir()}


# ---------------------------------------------------------------- versions


def test_version_counts_the_migrations() -> None:
    db = Database(memory=True)
    assert len(migrations.pending(db)) == VERSION
    db.close()


def test_new_file_in_a_new_folder(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b" / "casebook.db"
    with Casebook.open(path) as book:
        book.record(note())
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA user_version").fetchone() == (VERSION,)
        assert file.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        names = {name for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'view'")}
    assert {"season", "open_rescouts", "field_history"} <= names


def make_first_version(path: Path) -> None:
    """A casebook as the first migration alone left it, with one note."""
    db = Database(sqlite3.connect(path, isolation_level=None))
    migrations.apply(db, stop_before="m002_views")
    db.execute("PRAGMA user_version = 1")
    db.execute(
        "INSERT INTO entries VALUES ('u1', 1, 'ann', '2027-07-28T18:05:00+00:00', '2027-07-28', 'note', ?, "
        "NULL, NULL, NULL)",
        ['{"text": "old words"}'],
    )
    db.close()


def test_older_file_is_migrated_and_keeps_its_notes(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    make_first_version(path)
    with Casebook.open(path) as book:
        book.record(note("new words"))
    assert texts(path) == ["old words", "new words"]


def test_reading_an_older_file_leaves_it_old(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    make_first_version(path)
    before = path.read_bytes()
    assert texts(path) == ["old words"]
    assert path.read_bytes() == before


def test_newer_file_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    with Casebook.open(path) as book:
        book.record(note())
    with closing(sqlite3.connect(path, isolation_level=None)) as file:
        file.execute("PRAGMA user_version = 99")
    before = path.read_bytes()
    for way in (Casebook.open, Casebook.open_readonly, Casebook.open_copy):
        sentence = rf"version is 99, this program knows up to {VERSION}"
        with pytest.raises(NewerCasebook, match=sentence), way(path):
            pass
    assert path.read_bytes() == before


def test_file_migrated_by_a_newer_program_while_open_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    with Casebook.open(path) as book:
        with closing(sqlite3.connect(path, isolation_level=None)) as file:
            file.execute("PRAGMA user_version = 99")
        with pytest.raises(NewerCasebook):
            book.record(note())


# ---------------------------------------------------------------- what is no casebook


def test_folder_is_refused(tmp_path: Path) -> None:
    for way in (Casebook.open, Casebook.open_readonly):
        with pytest.raises(CasebookUnreachable, match="it is a folder"), way(tmp_path):
            pass


def test_text_file_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("rust on the ear leaf\n" * 100)
    before = path.read_bytes()
    for way in (Casebook.open, Casebook.open_readonly):
        with pytest.raises(NotACasebook, match=r"notes\.txt is not a casebook"), way(path):
            pass
    assert path.read_bytes() == before
    assert list(folder(tmp_path)) == ["notes.txt"]


def test_database_of_somebody_else_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with closing(sqlite3.connect(path)) as file:
        file.execute("CREATE TABLE cows (name)")
    before = path.read_bytes()
    for way in (Casebook.open, Casebook.open_readonly):
        with pytest.raises(NotACasebook), way(path):
            pass
    assert path.read_bytes() == before


def test_parent_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(CasebookUnreachable), Casebook.open(tmp_path / "file" / "casebook.db"):
        pass


def test_missing_file_is_not_made_by_reading(tmp_path: Path) -> None:
    with pytest.raises(NoCasebook, match="There is no casebook"), Casebook.open_readonly(tmp_path / "no.db"):
        pass
    assert not list(tmp_path.iterdir())


def damaged(path: Path, from_byte: int) -> None:
    """Makes a long casebook and overwrites it from some byte on."""
    with Casebook.open(path) as book:
        for i in range(100):
            book.record(note(f"words that take up room {i} " * 40))
    whole = path.read_bytes()
    path.write_bytes(whole[:from_byte] + b"\xff" * (len(whole) - from_byte))


def test_damaged_file_is_refused_with_a_sentence(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    damaged(path, 4096)
    for way in (Casebook.open, Casebook.open_readonly):
        with pytest.raises(CasebookDamaged, match="Put it aside"), way(path):
            pass


def test_damage_further_on_is_found_by_the_check_and_said_when_met(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    damaged(path, 40 * 4096)
    with Casebook.open_readonly(path) as book:
        assert any("damaged" in fault.message for fault in book.check())
        with pytest.raises(CasebookDamaged, match="Put it aside"):
            book.entries_all()


# ---------------------------------------------------------------- locked, read-only, full


def test_busy_file_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "casebook.db"
    monkeypatch.setattr(connect, "_PATIENCE_S", 0.05)
    with Casebook.open(path) as book:
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(CasebookBusy, match="in use by another program"):
                book.record(note())
        book.record(note("after that"))
    assert texts(path) == ["after that"]


def test_file_that_may_not_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "casebook.db"
    with Casebook.open(path):
        pass
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(CasebookReadOnly, match="can be read but not written"), Casebook.open(path):
        pass


def test_file_that_turns_out_read_only_when_written(tmp_path: Path) -> None:
    with Casebook.open(tmp_path / "casebook.db") as book:
        book._db.execute("PRAGMA query_only = ON")
        with pytest.raises(CasebookReadOnly):
            book.record(note())


def test_full_disk_keeps_what_was_saved(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    with Casebook.open(path) as book:
        book.record(note("kept"))
        pages = book._db.execute("PRAGMA page_count").fetchone()[0]
        book._db.execute(f"PRAGMA max_page_count = {pages}")
        with pytest.raises(DiskFull, match="no room left"):
            book.record(note("x" * 100_000))
        assert [entry.text for entry in book.entries_all()] == ["kept"]
    assert texts(path) == ["kept"]


def test_another_thread_is_refused_with_a_sentence(tmp_path: Path) -> None:
    caught: list[EarleafError] = []
    with Casebook.open(tmp_path / "casebook.db") as book:

        def intrude() -> None:
            try:
                book.record(note())
            except CasebookError as error:
                caught.append(error)

        thread = threading.Thread(target=intrude)
        thread.start()
        thread.join()
    assert "used wrongly by the program" in str(caught[0])


# ---------------------------------------------------------------- reading leaves nothing


def test_reading_leaves_no_file_and_changes_none(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    with Casebook.open(path) as book:
        book.record(note())
    before = folder(tmp_path)
    assert list(before) == ["casebook.db"]
    with Casebook.open_readonly(path) as book:
        assert folder(tmp_path) == before
        with pytest.raises(CasebookReadOnly, match="opened to be read"):
            book.record(note())
    assert folder(tmp_path) == before


def test_copy_takes_everything_and_keeps_nothing(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    with Casebook.open(path) as book:
        book.record(note("kept"))
    before = folder(tmp_path)
    with Casebook.open_copy(path) as book:
        book.record(note("forgotten"))
        assert [entry.text for entry in book.entries_all()] == ["kept", "forgotten"]
    assert folder(tmp_path) == before
    assert texts(path) == ["kept"]


def test_copy_of_nothing_is_an_empty_casebook() -> None:
    with Casebook.open_copy(None) as book:
        assert book.entries_all() == ()
        assert book.record(note()).seq == 1


def test_reading_sees_what_another_program_has_just_saved(tmp_path: Path) -> None:
    path = tmp_path / "casebook.db"
    with Casebook.open(path) as book:
        book.record(note("still in the log"))
        before = set(folder(tmp_path))
        assert texts(path) == ["still in the log"]
        assert set(folder(tmp_path)) == before
    assert list(folder(tmp_path)) == ["casebook.db"]


def test_reading_through_a_link_finds_the_log(tmp_path: Path) -> None:
    path = tmp_path / "real" / "casebook.db"
    link = tmp_path / "link.db"
    with Casebook.open(path) as book:
        link.symlink_to(path)
        book.record(note("still in the log"))
        assert texts(link) == ["still in the log"]


@pytest.mark.parametrize("index_lost", [False, True])
def test_reading_what_a_killed_program_left(tmp_path: Path, index_lost: bool) -> None:
    path, gun = tmp_path / "casebook.db", tmp_path / "gun"
    saver = start(path, "ann", 100_000, gun)
    gun.touch()
    assert saver.stdout is not None
    said = [saver.stdout.readline() for _ in range(3)]
    saver.send_signal(signal.SIGKILL)
    said += saver.communicate(timeout=60)[0].splitlines()
    if index_lost:
        (tmp_path / "casebook.db-shm").unlink()
    before = folder(tmp_path)
    assert "casebook.db-wal" in before
    assert len(texts(path)) >= len(said)
    assert folder(tmp_path) == before


def test_name_with_characters_that_mean_something_in_an_address(tmp_path: Path) -> None:
    path = tmp_path / "what? 100% #1.db"
    with Casebook.open(path) as book:
        book.record(note("kept"))
    assert texts(path) == ["kept"]


# ---------------------------------------------------------------- several programs


@pytest.mark.parametrize("run", range(3))
def test_three_programs_opening_a_new_file_at_once(tmp_path: Path, run: int) -> None:
    path, gun = tmp_path / "casebook.db", tmp_path / "gun"
    savers = [start(path, author, 3, gun) for author in ("ann", "bob", "cy")]
    gun.touch()
    assert finish(*savers) == [3, 3, 3]
    assert sorted(texts(path)) == [f"{author} {i}" for author in ("ann", "bob", "cy") for i in range(3)]


def test_two_programs_saving_at_once_lose_nothing(tmp_path: Path) -> None:
    path, gun = tmp_path / "casebook.db", tmp_path / "gun"
    savers = [start(path, author, 50, gun) for author in ("ann", "bob")]
    gun.touch()
    assert finish(*savers) == [50, 50]
    with Casebook.open(path) as book:
        journal = book.journal()
        assert book.check() == ()
    assert [entry.seq for entry in journal] == list(range(1, 101))
    for author in ("ann", "bob"):
        said = [entry.text for entry in journal if entry.author == author]
        assert said == [f"{author} {i}" for i in range(50)]


@pytest.mark.parametrize("heard", [1, 7, 20])
def test_killed_in_the_middle_of_saving(tmp_path: Path, heard: int) -> None:
    """Every entry that was said to be saved is there, and the file is sound."""
    path, gun = tmp_path / "casebook.db", tmp_path / "gun"
    saver = start(path, "ann", 100_000, gun)
    gun.touch()
    assert saver.stdout is not None
    said = [saver.stdout.readline().strip() for _ in range(heard)]
    saver.send_signal(signal.SIGKILL)
    # The last line may be cut off: then it was not said.
    rest = saver.communicate(timeout=60)[0].splitlines(keepends=True)
    said += [line for line in rest if line.endswith("\n")]
    with Casebook.open(path) as book:
        there = [entry.text for entry in book.entries_all()]
        assert there[: len(said)] == [line.strip() for line in said]
        assert len(there) - len(said) <= 1
        assert book.check() == ()
        book.record(note("and on it goes"))
