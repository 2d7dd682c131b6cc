"""What a casebook's size costs: the same acts in made casebooks of two sizes, as ratios.

    python -m tests.bench.size [--small 1000] [--large 100000] [--rounds 20]

Notes spread over fields and seasons the way a practice grows: more notes mean more fields and more
seasons, not more notes a field in a season.  Times are medians in milliseconds; what a person waits
for should cost about the same in both (a ratio near 1), a season's export grows with the season only.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from assistant.casebook.book import Casebook  # noqa: E402
from assistant.casebook.rows import Derived, NewEntry  # noqa: E402
from assistant.reports.log import season_csv  # noqa: E402
from rules.model import Fact  # noqa: E402

#: Notes on one field in one season, and fields looked after, of the largest practice.
NOTES_A_FIELD = 10
FIELDS = 500
FIRST_YEAR = 2005
NAMES = ("Hill", "Creek", "Larkin", "Voss", "Dutton", "Gantt", "Home", "School", "River", "Mill")
FACTS = tuple(Fact(attribute=f"sign_{n}", value="x", text="word " * 4) for n in range(6))


def make(path: Path, notes: int) -> None:
    """A casebook with so many derived notes, written in few transactions."""
    fields = max(1, min(FIELDS, notes // NOTES_A_FIELD))
    with Casebook.open(path) as book:
        made = [
            book.add_field(
                f"{NAMES[n % 10]} {n + 10}", author="ann", made_at=_at(0), about=date(FIRST_YEAR, 1, 1)
            )
            for n in range(fields)
        ]
        # One transaction for all: this is the making, not what is measured.
        with book._db.conn:
            book._db.conn.execute("BEGIN")
            _fill(book, notes, [(field.uid, field.slug) for field in made])
        book._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _fill(book: Casebook, notes: int, fields: list[tuple[str, str]]) -> None:
    from assistant.casebook import derived, journal

    for number in range(notes):
        uid, slug = fields[number % len(fields)]
        season, turn = divmod(number // len(fields), NOTES_A_FIELD)
        on = date(FIRST_YEAR + season, 5, 15) + timedelta(days=9 * turn)
        body = {"text": f"{slug}: gray lesions on the ear leaf, note {number} " + "and so on " * 15}
        new = NewEntry(author="ann", made_at=_at(number), about=on, kind="note", body=body)
        entry = journal.add(book._db, new)
        case = f"{slug}-{on.year}"
        held = on + timedelta(days=7) if number % 3 == 0 else None
        scene = Derived(
            field_uid=uid, case_id=case, facts=FACTS, action="hold", rescout_on=held, lead="tar_spot"
        )
        derived.derive(book._db, entry.uid, "k1", {"version": 1, "entries": [{"x": "y" * 2000}]}, [scene])
        if turn == NOTES_A_FIELD - 1:
            body = {"text": "harvested", "harvested_on": f"{on.year}-09-20"}
            done = NewEntry(
                author="ann",
                made_at=_at(number),
                about=date(on.year, 9, 20),
                kind="outcome",
                body=body,
                field_uid=uid,
            )
            journal.add(book._db, done)


def _at(number: int) -> datetime:
    return datetime(FIRST_YEAR, 5, 1, tzinfo=UTC) + timedelta(seconds=number)


def acts(book: Casebook) -> dict[str, Callable[[], object]]:
    """What is measured."""
    last = max(entry.about for entry in book.entries_all("note"))
    field = book.fields()[0]
    name = field.name
    count = iter(range(10**9))

    def save() -> None:
        new = NewEntry(
            author="ann", made_at=_at(0), about=last, kind="note", body={"text": f"new {next(count)}"}
        )
        entry = book.record(new)
        book.field_names()
        book.match(name)
        case = book.case_for(field, last)
        book.case(case)
        book.earlier(case, entry)
        book.derive(entry.uid, "k1", {}, [Derived(field_uid=field.uid, case_id=case, facts=FACTS)])

    return {
        "save a note": save,
        "history of a field": lambda: book.history(field),
        "entries of a case": lambda: book.entries(book.case_for(field, last)),
        "due": lambda: book.due(last),
        "export of a season": lambda: season_csv(book.season(last.year)),
        "undo": lambda: book.withdraw_last("ann", _at(0)),
    }


def measure(path: Path, rounds: int) -> dict[str, float]:
    """Median milliseconds of each act."""
    with Casebook.open(path) as book:
        found = {name: _median(act, rounds) for name, act in acts(book).items()}
    return {**found, "open to read": _median(lambda: _opened(path), min(rounds, 3))}


def _opened(path: Path) -> None:
    """What each command pays that only reads: it reads from a copy in memory."""
    with Casebook.open_readonly(path):
        pass


def _median(act: Callable[[], object], rounds: int) -> float:
    act()
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return 1000 * statistics.median(times)


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--small", type=int, default=1_000)
    parser.add_argument("--large", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=20)
    parser.add_argument("--most", type=float, help="fail where a ratio is above this")
    asked = parser.parse_args()
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for notes in (asked.small, asked.large):
            path = Path(folder, f"{notes}.db")
            make(path, notes)
            found.append(measure(path, asked.rounds))
            print(f"{notes} notes: {path.stat().st_size / 1e6:.1f} MB", flush=True)
    small, large = found
    for name in small:
        print(
            f"{name:20} {small[name]:9.2f} ms {large[name]:9.2f} ms  ratio {large[name] / small[name]:6.1f}"
        )
    worst = max(large[name] / small[name] for name in small)
    sys.exit(1 if asked.most is not None and worst > asked.most else 0)


if __name__ == "__main__":
    main()
