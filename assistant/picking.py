"""Asking which known field a name means."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from assistant.casebook.errors import AmbiguousField

_NEW = "new"


def pick(
    said: str, names: Sequence[str], *, ask: Callable[[str], str], say: Callable[[str], None]
) -> str | None:
    """The field that was picked by its number or name; None for a new one.

    Raises:
        AmbiguousField: if the user would not say.
    """
    listed = [f"  {number}  {name}" for number, name in enumerate(names, start=1)]
    say("\n".join([f'"{said}" could be a field that is known:', *listed, f"  {_NEW}  a field of its own"]))
    numbered = {str(number): name for number, name in enumerate(names, start=1)}
    numbered |= {name.lower(): name for name in names}
    while True:
        try:
            answer = ask("Which one (a number, or new)? ").strip().lower()
        except (KeyboardInterrupt, EOFError) as error:
            raise AmbiguousField(f'It was not said which field "{said}" means.') from error
        if answer == _NEW:
            return None
        if answer in numbered:
            return numbered[answer]
        say(f"Say a number from 1 to {len(names)}, or {_NEW}.")
