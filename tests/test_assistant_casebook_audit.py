"""Each fault that the check looks for, put into a casebook by somebody else's tool."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from assistant.casebook.book import Casebook
from assistant.casebook.rows import Derived, NewEntry
from rules.model import Fact

THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
DAY = date(2027, 7, 28)

ENTRY = (
    "INSERT INTO entries (uid, seq, author, made_at, about, kind, body, case_id, field_uid, refers_to) "
    "VALUES ('{uid}', {seq}, 'x', '2027-07-28T18:05:00+00:00', '2027-07-28', '{kind}', "
)
ENTRY += "'{body}', NULL, {field}, {refers})"


def entry(**but: object) -> str:
    usual: dict[str, object] = {
        "uid": "odd",
        "seq": 99,
        "kind": "note",
        "body": '{"text": "x"}',
        "field": "NULL",
        "refers": "NULL",
    }
    return ENTRY.format(**{**usual, **but})


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "casebook.db"
    with Casebook.open(path) as book:
        note = NewEntry(
            author="ann", made_at=THEN, about=DAY, kind="note", body={"text": "spring draw, clean"}
        )
        uid = book.record(note).uid
        draw = book.add_field("Spring Draw", author="ann", made_at=THEN, about=DAY, because=uid)
        scene = Derived(field_uid=draw.uid, case_id="spring-draw-2027", facts=(Fact(attribute="x", value=1),))
        book.derive(uid, "k1", {"version": 1}, [scene])
    return path


def test_a_sound_casebook_has_no_fault(path: Path) -> None:
    with Casebook.open_readonly(path) as book:
        assert book.check() == ()


@pytest.mark.parametrize(
    ("sql", "says"),
    [
        (entry(kind="gossip"), '"gossip" is no kind of entry'),
        (entry(body="not json"), "no JSON"),
        (entry(body="[1]"), "no JSON object"),
        (entry(kind="withdrawal"), "a withdrawal must refer to an entry; this one refers to nothing"),
        (entry(kind="correction", refers="'gone'"), "a correction must refer to an entry"),
        (entry(refers="'gone'"), "belongs to a record of entries that is not there"),
        (entry(field="'nowhere'"), "speaks of a field that is not there"),
        ("INSERT INTO answers VALUES ('gone', 'k1', '{}')", "derived from an entry that is not there"),
        ("UPDATE facts SET entry_uid = 'gone'", "derived from an entry that is not there"),
        ("UPDATE decisions SET entry_uid = 'gone'", "derived from an entry that is not there"),
        ("DELETE FROM fields", "speaks of a field that is not there"),
        ("UPDATE field_names SET normalised = 'x'", "old form of itself"),
    ],
)
def test_each_fault_is_found_and_named(path: Path, sql: str, says: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute(sql)
    with Casebook.open_readonly(path) as book:
        faults = book.check()
    assert any(says in str(fault) for fault in faults), faults
    assert all(fault.file == str(path) for fault in faults)
