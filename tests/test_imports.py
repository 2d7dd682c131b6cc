"""Imports run downhill, each outside library has one door, and start-up stays light."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FILES = sorted(p for package in ("assistant", "rules") for p in (ROOT / package).rglob("*.py"))

#: Outside library -> the modules that may import it.
DOORS = {
    "durable": ("rules/engine.py",),
    "spacy": ("assistant/reading/engine.py", "assistant/reading/reader.py"),
    "dateparser": ("assistant/reading/dates.py",),
    "sqlite_utils": ("assistant/casebook/",),
    "prompt_toolkit": ("assistant/chat",),
    "pydantic": ("assistant/schema.py",),
    "click": ("assistant/cli",),
    "platformdirs": ("assistant/casebook/place.py",),
    "fpdf": ("assistant/reports/paper.py",),
    "xlsxwriter": ("assistant/reports/sheet.py",),
    "rich": ("assistant/batch.py",),
}


def imported(path: Path) -> set[str]:
    """Every module that the file imports, at top or inside a function."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.relative_to(ROOT).as_posix())
def test_imports_keep_the_levels_and_the_doors(path: Path) -> None:
    name = path.relative_to(ROOT).as_posix()
    modules = imported(path)
    if name.startswith("rules/"):
        assert not [m for m in modules if m.split(".")[0] == "assistant"], "rules must not know the assistant"
    if name.startswith("rules/agronomy/"):
        allowed = ("rules.agronomy", "rules.model", "rules.shape")
        assert all(m.startswith(allowed) for m in modules if m.startswith("rules")), modules
    for library, doors in DOORS.items():
        if any(m.split(".")[0] == library for m in modules):
            assert name.startswith(doors), f"{library} has its door at {doors}"


def test_no_circle_of_imports_within_rules() -> None:
    graph = {
        p.relative_to(ROOT).with_suffix("").as_posix().replace("/", "."): {
            m for m in top_level(p) if m.startswith("rules")
        }
        for p in FILES
        if p.is_relative_to(ROOT / "rules")
    }
    settled: set[str] = {"rules"}
    while fresh := {m for m, needs in graph.items() if m not in settled and needs & graph.keys() <= settled}:
        settled |= fresh
    assert graph.keys() <= settled | {"rules.__init__"}, graph.keys() - settled


def top_level(path: Path) -> set[str]:
    body = ast.parse(path.read_text(encoding="utf-8")).body
    return {n.module for n in body if isinstance(n, ast.ImportFrom) and n.module}


@pytest.mark.parametrize("command", [["--help"], ["schema"], ["due", "--on", "2027-07-28"]])
def test_commands_that_need_no_reader_do_not_load_spacy(command: list[str], tmp_path: Path) -> None:
    code = (
        "import sys\nfrom assistant.cli import main\n"
        f"sys.argv = ['earleaf', '--casebook', {str(tmp_path / 'c.db')!r}, *{command!r}]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print('spacy' in sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.stderr.strip().splitlines()[-1] == "False", done.stderr
