"""The words that every report shares: dates, decisions, standings; and text that harms nobody."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from assistant.casebook.rows import LogRow

#: Written out here, because the names that ``strftime`` gives depend on the machine's language.
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

#: A decision in a word or two, as a column or a mark names it.
ACTIONS = {
    "spray": "spray",
    "hold": "hold",
    "sample": "sample first",
    "scout": "look first",
    "no_spray": "no spray",
    "too_late": "too late",
}

#: How sure a name is, in a few words.
STANDINGS = {
    "confirmed": "confirmed by the lab",
    "fits": "it fits",
    "possible": "possible, not settled",
    "unlikely": "unlikely",
    "ruled_out": "ruled out",
}

#: What kind of line a journal entry makes.
KINDS = {
    "note": "note",
    "spray": "spray",
    "lab_result": "lab result",
    "sample": "sample",
    "outcome": "outcome",
    "photograph": "photograph",
}


def clean(text: str) -> str:
    """Text on one line that cannot move a terminal's cursor, turn its direction, or hide a part of itself."""
    return "".join(c if c.isprintable() else " " for c in text)


def clipped(text: str, most: int) -> str:
    """The text, cut at a word with an ellipsis where it is longer than ``most`` characters."""
    flat = " ".join(clean(text).split())
    if len(flat) <= most:
        return flat
    cut = flat[: max(most - 3, 0)]
    at = cut.rfind(" ")
    return (cut[:at] if at > most // 2 else cut).rstrip(" ,;:.") + "..."


def spoken(name: str | None) -> str:
    """An id as people say it: "no_spray" is "no spray"."""
    return clean((name or "").replace("_", " "))


def action_words(action: str | None) -> str:
    """A decision in a word or two; one that this version does not know, as it stands."""
    return ACTIONS.get(action or "", spoken(action))


def standing_words(standing: str | None) -> str:
    """How sure a name is."""
    return STANDINGS.get(standing or "", spoken(standing))


def kind_words(kind: str) -> str:
    """The kind of an entry."""
    return KINDS.get(kind, spoken(kind))


def day(on: date) -> str:
    """A day as people write it: Thu Jul 29."""
    return f"{_WEEKDAYS[on.weekday()]} {short_day(on)}"


def short_day(on: date) -> str:
    """A day without its weekday: Jul 29."""
    return f"{_MONTHS[on.month - 1]} {on.day}"


def long_day(on: date) -> str:
    """A day with its year: Thu Jul 29, 2027."""
    return f"{day(on)}, {on.year}"


def sentence(text: str) -> str:
    """The text with a capital at its head and a full stop at its end."""
    flat = " ".join(clean(text).split())
    if not flat:
        return ""
    return flat[0].upper() + flat[1:] + ("" if flat.endswith((".", "!", "?")) else ".")


def listed(items: Iterable[str]) -> str:
    """Words in a row: "a", "a and b", "a, b and c"."""
    words = list(items)
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def counted(number: int, one: str, many: str | None = None) -> str:
    """A count with its word: "1 field", "3 fields"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def found(row: LogRow) -> str:
    """What was found, and how sure."""
    if not row.found:
        return "nothing found" if row.action else ""
    return f"{spoken(row.found)} ({standing_words(row.standing)})" if row.standing else spoken(row.found)


def decided(row: LogRow) -> str:
    """What was decided, by when."""
    if not row.action:
        return ""
    dates = [f"by {row.spray_by.isoformat()}"] if row.spray_by and row.action == "spray" else []
    dates += [f"look again {row.rescout_on.isoformat()}"] if row.rescout_on else []
    return ", ".join([action_words(row.action), *dates])
