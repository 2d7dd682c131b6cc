"""How a field's name is compared: kindly, because people say it as it comes.

"north eighty", "North 80", "the north 80", "N 80" and "North Eighty field" are one name.
Numbers and directions are never guessed at: "North 80" is not "North 40", nor "South 80".
"""

from __future__ import annotations

import re
import unicodedata

# fmt: off
_UNITS = {
    "zero": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15,
    "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19,
}
_TENS = {
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
    "ninety": 90,
}
# fmt: on
_HUNDRED = 100

_LETTERS = {
    "n": "north",
    "s": "south",
    "e": "east",
    "w": "west",
    "ne": "northeast",
    "nw": "northwest",
    "se": "southeast",
    "sw": "southwest",
}
_CORNERS = {(a, b): a + b for a in ("north", "south") for b in ("east", "west")}

#: Words that say where on the compass: a wrong one is another field, never a slip.
DIRECTIONS = frozenset({*_LETTERS.values(), "upper", "lower", "middle", "front", "back", "left", "right"})

#: Words at the end of a name that may be left out.
SUFFIXES = frozenset({"field", "farm", "place", "piece", "ground"})

#: A slug is cut at this many characters, so that a case id stays short enough to type.
_SLUG_LENGTH = 48

_ARTICLES = frozenset({"the", "an"})
_NUMBER_SIGNS = frozenset({"no", "number", "nr"})
_TOKEN = re.compile(r"[^\W\d_]+|\d+")


def tidy(name: str) -> str:
    """The name as it is kept: its own letters, runs of white space as one space."""
    return " ".join(name.split())


def normalise(name: str) -> str:
    """The form in which two ways to say one name are equal; empty when nothing is left of it."""
    tokens = _figures(_words(name))
    tokens = _without_articles(tokens)
    tokens = _corners(_compass(tokens))
    return " ".join(tokens)


def singular(tokens: tuple[str, ...]) -> tuple[str, ...]:
    """Each word without its plural s ("Larkins" is "Larkin")."""
    return tuple(t[:-1] if len(t) > len("the") and t.endswith("s") and t[-2] != "s" else t for t in tokens)


def bare(tokens: tuple[str, ...]) -> tuple[str, ...]:
    """The singular name without "field", "farm", "place", "piece", "ground" or "acres" at its end."""
    tokens = singular(tokens)
    while len(tokens) > 1 and (tokens[-1] in SUFFIXES or tokens[-1] == "acre"):
        tokens = tokens[:-1]
    return tokens


def suffix(tokens: tuple[str, ...]) -> str:
    """The word that :func:`bare` leaves out; empty when there is none."""
    last = singular(tokens)[-1:]
    return last[0] if len(tokens) > 1 and last[0] in SUFFIXES else ""


def joined(tokens: tuple[str, ...]) -> tuple[str, ...]:
    """Words run together, numbers kept apart: "spring draw" and "Springdraw" are one."""
    out: list[str] = []
    for token in singular(tokens):
        if out and not token.isdigit() and not out[-1].isdigit():
            out[-1] += token
        else:
            out.append(token)
    return tuple(out)


def slug(name: str) -> str:
    """The name in letters that a case id and a command line can bear: "Spring Draw" gives "spring-draw"."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").casefold()
    words = re.findall(r"[a-z0-9]+", plain.replace("'", ""))
    kept = words[1:] if words[:1] == ["the"] else words
    return "-".join(kept)[:_SLUG_LENGTH].strip("-") or "field"


def _words(name: str) -> list[str]:
    """Letters and digits alone, accents and apostrophes gone, "N80" as "n" and "80"."""
    plain = unicodedata.normalize("NFKD", name).casefold()
    plain = "".join(c for c in plain if not unicodedata.combining(c) and c not in "'’`")
    return _TOKEN.findall(plain)


def _figures(words: list[str]) -> list[str]:
    """Number words as digits: "twenty five" 25, "one sixty" 160, "one hundred and sixty" 160."""
    out: list[str] = []
    number: int | None = None
    last = ""
    for place, word in enumerate(words):
        if word == "and" and last == "hundred" and _is_number(words[place + 1 : place + 2]):
            continue
        grown = _grow(number, last, word)
        if grown is None and number is not None:
            out.append(str(number))
            grown = _grow(None, "", word)
        number, last = grown, _kind(word)
        if number is None:
            out.append(str(int(word)) if word.isdigit() else word)
    return out if number is None else [*out, str(number)]


def _grow(number: int | None, last: str, word: str) -> int | None:
    """The number with one more word to it; None when the word begins another or is no number."""
    if word == "hundred":
        return None if last != "unit" or number is None else number * _HUNDRED
    if word in _TENS:
        if number is None:
            return _TENS[word]
        if last == "hundred":
            return number + _TENS[word]
        return number * _HUNDRED + _TENS[word] if last == "unit" and number else None
    if word in _UNITS:
        if number is None:
            return _UNITS[word]
        fits = last == "hundred" or (last == "tens" and 0 < _UNITS[word] < _UNITS["ten"])
        return number + _UNITS[word] if fits else None
    return None


def _kind(word: str) -> str:
    return word if word == "hundred" else "tens" if word in _TENS else "unit"


def _is_number(words: list[str]) -> bool:
    return bool(words) and (words[0] in _UNITS or words[0] in _TENS)


def _without_articles(tokens: list[str]) -> list[str]:
    """The tokens without "the" and "an" anywhere, and without "number" before a number."""
    kept = [t for t in tokens if t not in _ARTICLES] or tokens
    return [
        t for place, t in enumerate(kept) if not (t in _NUMBER_SIGNS and _digits(kept[place + 1 : place + 2]))
    ]


def _compass(tokens: list[str]) -> list[str]:
    """Letters of the compass in full where they lead the name or stand at a number ("N 80", "80 N")."""
    out = []
    for place, token in enumerate(tokens):
        leads = place == 0 and len(tokens) > 1
        at_number = _digits(tokens[place + 1 : place + 2]) or _digits(tokens[max(place - 1, 0) : place])
        out.append(_LETTERS.get(token, token) if leads or at_number else token)
    return out


def _corners(tokens: list[str]) -> list[str]:
    """The corners of the compass in one word: "north east" is "northeast"."""
    out: list[str] = []
    for token in tokens:
        if out and (out[-1], token) in _CORNERS:
            out[-1] = _CORNERS[(out[-1], token)]
        else:
            out.append(token)
    return out


def _digits(tokens: list[str]) -> bool:
    return bool(tokens) and tokens[0].isdigit()
