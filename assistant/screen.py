"""Text as it goes to the terminal: nothing in it that moves a cursor, no line wider than the screen."""

from __future__ import annotations

import textwrap

from assistant.reports.wording import clean

_NARROWEST = 20
_HANGING = 2


def laid_out(text: str, width: int) -> str:
    """The text cleaned and wrapped; a line that goes on hangs under its own indentation."""
    return "\n".join(_wrapped(clean(line), max(width, _NARROWEST)) for line in text.split("\n"))


def _wrapped(line: str, width: int) -> str:
    if len(line) < width:
        return line.rstrip()
    margin = " " * (len(line) - len(line.lstrip()))
    parts = textwrap.wrap(
        line.strip(),
        width - 1,
        initial_indent=margin,
        subsequent_indent=margin + " " * _HANGING,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return "\n".join(parts)
