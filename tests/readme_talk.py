"""The conversation of the README, run again in a real terminal.

``python -m tests.readme_talk`` writes the answers of today into the README.
"""

from __future__ import annotations

import os
import re
import sys
import tempfile
from pathlib import Path

import pexpect

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
BLOCK = re.compile(r"(?<=```talk\n).*?(?=```)", re.DOTALL)
_PROMPT = r"\x1b\[0;1m([^\x1b]*):[^\n]*\x1b\[\?25h"
_MOVES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")
_WIDTH = 100


def block() -> str:
    """The conversation as it stands in the README."""
    found = BLOCK.search(README.read_text(encoding="utf-8"))
    assert found, "the README has no conversation"
    return found[0]


def said(text: str) -> list[str]:
    """What the user types in it."""
    return [line[2:] for line in text.splitlines() if line.startswith("> ")]


def replay(lines: list[str], folder: Path) -> str:
    """The whole conversation with the answers that the program gives now."""
    child = pexpect.spawn(
        sys.executable,
        ["-m", "assistant", "--casebook", str(folder / "casebook.db")],
        cwd=str(folder),
        dimensions=(200, _WIDTH),
        encoding="utf-8",
        env={
            **os.environ,
            "EARLEAF_AUTHOR": "ann",
            "PROMPT_TOOLKIT_NO_CPR": "1",
            "PYTHONPATH": str(ROOT),
            "TERM": "xterm",
        },
        timeout=60,
    )
    child.expect(_PROMPT)
    made = []
    for line in lines:
        child.send(f"{line}\r")
        child.expect(r"\x1b\[\?2004l")
        if line == "/quit":
            child.expect(pexpect.EOF)
            seen = child.before
        else:
            child.expect(_PROMPT)
            seen = child.before
        text = _MOVES.sub("", seen).replace("\r", "")
        made.append(f"> {line}\n" + "\n".join(part.rstrip() for part in text.strip("\n").splitlines()) + "\n")
    child.close()
    return "\n".join(part.rstrip("\n") + "\n" for part in made)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        fresh = replay(said(block()), Path(folder))
    text = README.read_text(encoding="utf-8")
    README.write_text(BLOCK.sub(lambda _: fresh, text), encoding="utf-8")


if __name__ == "__main__":
    main()
