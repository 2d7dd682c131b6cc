"""Kills a program while it saves, at random moments, over and over, and looks for what was lost.

    python -m tests.bench.kill --kills 100 [--seed 1]

The saver does what a chat does: a note, its field, its answer with facts and a decision, now and then
an undo or a correction.  It says each uid once the casebook has said that it is saved.  After each kill
every uid that was said must be in the journal, word for word, and the file must have no fault.
Exit status 1 if anything was lost.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from datetime import UTC, date, datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from assistant.casebook.book import Casebook  # noqa: E402
from assistant.casebook.rows import Derived, NewEntry  # noqa: E402
from rules.model import Fact  # noqa: E402

THEN = datetime(2027, 7, 28, 18, 5, tzinfo=UTC)
DAY = date(2027, 7, 28)
FACTS = (Fact(attribute="lesion_form", value="pustule"), Fact(attribute="growth_stage", value="R3"))
LONGEST_LIFE_S = 0.4


def save_for_ever(path: Path) -> None:
    """What is killed: saves notes and says the uid of each, until it is no more."""
    with Casebook.open(path) as book:
        number = len(book.journal())
        while True:
            number += 1
            note = _new("note", f"note {number} " + "x" * (number * 37 % 3000))
            uid = book.record(note).uid
            print(uid, number, flush=True)
            field = book.add_field(f"Field {number % 7}", author="ann", made_at=THEN, about=DAY, because=uid)
            scene = Derived(
                field_uid=field.uid, case_id=book.case_for(field, DAY), facts=FACTS, action="hold"
            )
            book.derive(uid, "k1", {"version": 1, "entries": []}, [scene])
            if number % 11 == 0:
                book.record(_new("correction", f"note {number}, better", refers_to=uid))
            if number % 13 == 0:
                book.withdraw_last("ann", THEN)


def _new(kind: str, text: str, refers_to: str | None = None) -> NewEntry:
    body = {"text": text}
    return NewEntry(author="ann", made_at=THEN, about=DAY, kind=kind, body=body, refers_to=refers_to)


def kill_once(path: Path, after_s: float) -> list[tuple[str, str]]:
    """Starts a saver, kills it after so many seconds of saving, returns the uids and numbers it said."""
    saver = subprocess.Popen(
        [sys.executable, __file__, "--save", str(path)], stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert saver.stdout is not None
    first = saver.stdout.readline()
    time.sleep(after_s)
    saver.send_signal(signal.SIGKILL)
    rest = saver.communicate()[0].splitlines(keepends=True)
    # A line that was cut off was not said.
    return [(uid, number) for uid, number in (line.split() for line in [first, *rest] if line.endswith("\n"))]


def lost_of(path: Path, said: dict[str, str]) -> list[str]:
    """The uids that were said and are not there word for word, and the faults of the file."""
    with Casebook.open(path) as book:
        texts = {entry.uid: str(entry.body.get("text", "")) for entry in book.journal()}
        faults = [str(fault) for fault in book.check()]
    gone = [uid for uid, number in said.items() if not texts.get(uid, "").startswith(f"note {number} ")]
    return gone + faults


def run(kills: int, seed: int) -> int:
    """The number of entries lost and of faults found."""
    chance, said, lost = random.Random(seed), {}, 0
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "casebook.db")
        for number in range(1, kills + 1):
            said |= dict(kill_once(path, chance.uniform(0, LONGEST_LIFE_S)))
            found = lost_of(path, said)
            for each in found:
                print(f"after kill {number}: {each}")
            lost += len(found)
    print(f"{kills} kills, {lost} entries lost, {len(said)} said to be saved")
    return lost


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--kills", type=int, default=10)
    parser.add_argument("--seed", type=int, default=int.from_bytes(os.urandom(4)))
    parser.add_argument("--save", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.save:
        save_for_ever(asked.save)
    print(f"seed {asked.seed}")
    sys.exit(1 if run(asked.kills, asked.seed) else 0)


if __name__ == "__main__":
    main()
