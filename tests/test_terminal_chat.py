"""The real chat in a real terminal, from an empty casebook."""

from __future__ import annotations

import os
import re
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from assistant.casebook.book import Casebook

pexpect = pytest.importorskip("pexpect")

pytestmark = pytest.mark.terminal

ROOT = Path(__file__).resolve().parent.parent
PATIENCE_S = 30
#: The prompt in bold, up to where the cursor shows again.
_PROMPT = r"\x1b\[0;1m([^\x1b]*):[^\n]*\x1b\[\?25h"
_MOVES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


class Terminal:
    """A chat, and what has been seen of it since the last line was sent."""

    def __init__(self, casebook: Path) -> None:
        environment = {
            **os.environ,
            "EARLEAF_AUTHOR": "ann",
            "PROMPT_TOOLKIT_NO_CPR": "1",
            "PYTHONPATH": str(ROOT),
            "TERM": "xterm",
        }
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "assistant", "--casebook", str(casebook)],
            cwd=str(casebook.parent),
            dimensions=(50, 300),
            encoding="utf-8",
            env=environment,
            timeout=PATIENCE_S,
        )

    def prompt(self, label: str = "note") -> str:
        """Waits for the prompt to be ready for keys; returns what came before it, without cursor moves."""
        self.child.expect(_PROMPT)
        seen = _MOVES.sub("", self.child.before)
        assert self.child.match[1] == label, seen
        return seen

    def say(self, line: str, label: str = "Spring Draw") -> str:
        self.child.send(f"{line}\r")
        # The line itself is drawn once more, behind the old prompt, before the answer comes.
        self.child.expect(r"\x1b\[\?2004l")
        return self.prompt(label)

    def left(self) -> int | None:
        self.child.expect(pexpect.EOF)
        self.child.close()
        status: int | None = self.child.exitstatus
        return status


@contextmanager
def terminal(casebook: Path) -> Iterator[Terminal]:
    made = Terminal(casebook)
    with closing(made.child):
        yield made


def test_one_evening_at_a_field_edge(tmp_path: Path) -> None:
    casebook, log = tmp_path / "casebook.db", tmp_path / "season.csv"
    with terminal(casebook) as chat:
        chat.prompt()
        assert "Notes from here on speak of 2027-07-28" in chat.say("/date 2027-07-28", "note, 2027-07-28")
        label = "Spring Draw, 2027-07-28"
        say: Callable[[str], str] = lambda line: chat.say(line, label)  # noqa: E731
        answer = say("Spring Draw, orange pustules on the leaves at the ear, R3")
        assert "Spring Draw | Wed Jul 28 | R3" in answer
        assert "rust" in answer
        assert "Look next:" in answer
        assert "southern rust" in say("packed on top, nope, clean underneath")
        corrected = say("/correct about as many underneath as on top, brick red, scattered")
        assert "common rust" in corrected
        assert '"Spring Draw"' in say("/why")
        assert '"about as many underneath as on top, brick red, scattered"' in say("/history")
        assert "Nothing is due as of 2027-07-28" in say("/due")  # common rust: no spray
        assert "2 lines of the season 2027 written to" in say(f"/export csv {log}")
        chat.child.send("/quit\r")
        assert chat.left() == 0
    assert log.read_text().count("Spring Draw") >= 2
    with Casebook.open_readonly(casebook) as book:
        assert [e.author for e in book.entries_all("note")] == ["ann", "ann"]
        assert [e.kind for e in book.journal()] == ["note", "field", "note", "correction"]


def test_leaving_at_once_leaves_no_file_and_no_trouble(tmp_path: Path) -> None:
    with terminal(tmp_path / "casebook.db") as chat:
        chat.prompt()
        chat.child.send("\x04")
        assert chat.left() == 0
    assert list(tmp_path.iterdir()) == []


def test_a_terminal_that_is_closed_keeps_the_line(tmp_path: Path) -> None:
    with terminal(tmp_path / "casebook.db") as chat:
        chat.prompt()
        chat.child.send("gray lesions at the gan")
        chat.child.expect("gan")
        chat.child.kill(signal.SIGHUP)
        chat.left()
    assert (tmp_path / "casebook.db.draft").read_text() == "gray lesions at the gan"


def test_without_a_terminal_it_says_so_and_what_to_use(tmp_path: Path) -> None:
    import subprocess

    done = subprocess.run(
        [sys.executable, "-m", "assistant", "--casebook", str(tmp_path / "casebook.db")],
        input="gray lesions\n",
        capture_output=True,
        text=True,
        cwd=ROOT,
        timeout=PATIENCE_S,
    )
    assert done.returncode == 2
    assert "earleaf note -" in done.stderr
