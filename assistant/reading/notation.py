"""The notation of the word tables: one line of a table stands for many spoken forms.

``(s)`` an ending that may be there, ``{a,b}`` one of these, ``[it]`` a small word that may be
there.  Of every form with a hyphen or an apostrophe the plain variants are made as well,
since dictation drops both.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

#: What ``[it]`` may stand for; any other word in brackets stands for itself or nothing.
IT = ("", "it ", "them ", "that ")

_CHOICE = re.compile(r"\{([^{}]*)\}")
_SMALL = re.compile(r"\[([^\[\]]*)\] ?")
_ENDING = re.compile(r"\(([a-z]+)\)")


def expand(line: str) -> list[str]:
    """Every form that ``line`` stands for, in a fixed order, without repeats."""
    spaced = (re.sub(r"\s+", " ", form).strip() for form in _choices(line))
    return list(dict.fromkeys(variant for form in spaced if form for variant in _variants(form)))


def _choices(line: str) -> Iterator[str]:
    """Open the leftmost bracket of ``line`` in every way, and so on."""
    found = _CHOICE.search(line)
    if found:
        options = tuple(option.strip() for option in found[1].split(","))
    else:
        found = _SMALL.search(line)
        if found:
            options = IT if found[1] == "it" else ("", found[1] + " ")
        else:
            found = _ENDING.search(line)
            if not found:
                yield line
                return
            options = ("", found[1])
    for option in options:
        yield from _choices(line[: found.start()] + option + line[found.end() :])


def _variants(form: str) -> Iterator[str]:
    yield form
    if "'" in form:
        yield form.replace("'", "")
    if "-" in form:
        yield form.replace("-", " ")
