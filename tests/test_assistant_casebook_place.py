from __future__ import annotations

from pathlib import Path

from assistant.casebook.place import casebook_path, named_casebook


def test_the_option_comes_before_the_environment() -> None:
    environment = {"EARLEAF_CASEBOOK": "/season/env.db"}
    assert casebook_path("/season/given.db", environment) == Path("/season/given.db")
    assert casebook_path(None, environment) == Path("/season/env.db")


def test_by_default_in_the_users_own_data_folder() -> None:
    path = casebook_path(None, {})
    assert path.name == "casebook.db"
    assert "earleaf" in path.parts
    assert path.is_absolute()


def test_nothing_named() -> None:
    assert named_casebook(None, {}) is None
    assert named_casebook(None, {"EARLEAF_CASEBOOK": ""}) is None


def test_home_is_understood() -> None:
    assert named_casebook("~/casebook.db", {}) == Path.home() / "casebook.db"
