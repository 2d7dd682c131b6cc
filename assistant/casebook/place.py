"""Where the casebook lies, unless somebody says otherwise.  The door to platformdirs."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from platformdirs import user_data_path

#: Names another casebook for every command of a session.
VARIABLE = "EARLEAF_CASEBOOK"


def named_casebook(given: str | Path | None, environment: Mapping[str, str]) -> Path | None:
    """The casebook that was asked for by name (``--casebook``, then the environment), or None."""
    name = str(given) if given else environment.get(VARIABLE, "")
    return Path(name).expanduser() if name else None


def casebook_path(given: str | Path | None, environment: Mapping[str, str]) -> Path:
    """The casebook to use: the one named, else the one in the user's own data folder."""
    named = named_casebook(given, environment)
    return named or user_data_path("earleaf", appauthor=False) / "casebook.db"
