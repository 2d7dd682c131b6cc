"""What the README shows and says is so."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.cli import main
from tests.readme_talk import README, block, replay, said


@pytest.mark.terminal
def test_the_conversation_of_the_readme_is_what_the_program_says(tmp_path: Path) -> None:
    shown = block()
    assert replay(said(shown), tmp_path) == shown


def test_every_command_is_in_the_readme_and_has_help() -> None:
    text = README.read_text(encoding="utf-8")
    for name, command in main.commands.items():
        assert f"`earleaf {name}" in text, f"the README does not tell of {name}"
        assert command.help, name
        assert CliRunner().invoke(main, [name, "--help"]).exit_code == 0
