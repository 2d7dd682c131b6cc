"""Dictation slips put right, with the words as heard kept.

Three means, in this order: a reviewed table of slips (those that are ordinary words only
beside another word of the trade), unknown words glued together ("anthrac nose"), and the
nearest word of the trade for a single unknown word.  Ordinary words are never touched by
the last two: an ordinary-word list is the safety.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from assistant.reading.engine import plain
from assistant.reading.shorthand import Cutter, in_place_of
from assistant.reading.tokens import Token
from assistant.reading.word_tables import Slip
from assistant.reading.wordlists import meanings, words
from rules.model import Repair

#: How far (in tokens) the company of a guarded slip may stand.
_NEAR = 6
_LONGEST = 5
_GLUE = 3
_SHORTEST = 5
#: Behind a figure they show that it measures something.
_UNITS = (
    frozenset(meanings("units", "length")) - {"in"}
    | words("units", "share", "percent")
    | frozenset(meanings("units", "time"))
)


@dataclass(frozen=True, slots=True)
class Mender:
    """What a repair needs to know.

    Args:
        slips: the reviewed table, by words as heard; ``opening`` are the first words of it.
        company: words that a guarded slip needs beside it.
        trade: words of the trade, the targets of edit distance.
        joined: trade phrases without blanks ("tarspot"), the targets of gluing.
        ordinary: ordinary English words, never mended without the table.
        distance: edit distance of two words, given a limit above which it may stop counting.
        by_length: the words of the trade by their length.
    """

    slips: Mapping[tuple[str, ...], Slip]
    opening: frozenset[str]
    company: frozenset[str]
    trade: frozenset[str]
    joined: Mapping[str, str]
    ordinary: frozenset[str]
    distance: Callable[[str, str, int], int]
    by_length: Mapping[int, tuple[str, ...]]


def mender(
    slips: Mapping[tuple[str, ...], Slip],
    company: frozenset[str],
    trade: frozenset[str],
    phrases: Iterable[str],
    ordinary: frozenset[str],
    distance: Callable[[str, str, int], int],
) -> Mender:
    """Put together what repair needs."""
    targets = {word for word in trade if len(word) >= _SHORTEST and plain(word)}
    joined = {phrase.replace(" ", ""): phrase for phrase in phrases if len(phrase) >= 2 * _GLUE}
    by_length: dict[int, list[str]] = {}
    for word in sorted(targets):
        by_length.setdefault(len(word), []).append(word)
    sorted_words = {size: tuple(words) for size, words in by_length.items()}
    opening = frozenset(heard[0] for heard in slips)
    return Mender(slips, opening, company, trade, joined, ordinary, distance, sorted_words)


def mended(
    rows: Sequence[Token], kept: frozenset[int], text: str, tools: Mender, cut: Cutter
) -> tuple[list[Token], list[Repair]]:
    """The tokens after repair, and the repairs made.

    Args:
        rows: the tokens.
        kept: the places in the note of tokens that must stay (field names).
        text: the note as typed.
        tools: the tables.
        cut: makes tokens of the words put in.
    """
    out: list[Token] = []
    repairs: list[Repair] = []
    i = 0
    while i < len(rows):
        size, read = _at(rows, i, kept, tools)
        if size:
            old = rows[i : i + size]
            span = (old[0].start, old[-1].end)
            out += in_place_of(old, cut(read))
            repairs.append(Repair(span=span, heard=text[slice(*span)], read=read))
        else:
            out.append(rows[i])
        i += size or 1
    return out, repairs


def _at(rows: Sequence[Token], i: int, kept: frozenset[int], tools: Mender) -> tuple[int, str]:
    if rows[i].start in kept:
        return 0, ""
    for found in (_slip(rows, i, tools), _glued(rows, i, tools), _nearest(rows[i].text, tools)):
        if found[0]:
            return found
    return 0, ""


def _slip(rows: Sequence[Token], i: int, tools: Mender) -> tuple[int, str]:
    if rows[i].text not in tools.opening:
        return 0, ""
    for size in range(min(_LONGEST, len(rows) - i), 0, -1):
        slip = tools.slips.get(tuple(row.text for row in rows[i : i + size]))
        if slip and (
            not slip.guard or (_company(rows, i, size, tools) and not _measured(rows, i + size, slip))
        ):
            return size, slip.read
    return 0, ""


def _measured(rows: Sequence[Token], after: int, slip: Slip) -> bool:
    """As in "the cigars are four inches": a figure with its unit, no stage."""
    return (
        slip.read[:1] == "r" and slip.read[1:].isdigit() and after < len(rows) and rows[after].text in _UNITS
    )


def _company(rows: Sequence[Token], i: int, size: int, tools: Mender) -> bool:
    """Whether a word of the trade that is no ordinary word, or a figure, stands near."""
    near = [*rows[max(0, i - _NEAR) : i], *rows[i + size : i + size + _NEAR]]
    return any(row.text in tools.company or row.text.isdigit() for row in near)


def unknown(word: str, tools: Mender) -> bool:
    """Whether ``word`` is neither ordinary nor of the trade."""
    return len(word) >= _GLUE and plain(word) and word not in tools.trade and word not in tools.ordinary


def _glued(rows: Sequence[Token], i: int, tools: Mender) -> tuple[int, str]:
    strange = [unknown(row.text, tools) for row in rows[i : i + _GLUE + 1]]
    for size in range(len(strange), 1, -1) if any(strange) else ():
        words = [row.text for row in rows[i : i + size]]
        if not all(map(plain, words)) or not any(strange[:size]):
            continue
        read = tools.joined.get("".join(words))
        if read:
            return size, read
    word = rows[i].text
    read = tools.joined.get(word) if strange[0] else None
    return (1, read) if read and read != word else (0, "")


def _nearest(word: str, tools: Mender) -> tuple[int, str]:
    """The one nearest word of the trade within one slip (two in words of eight letters and more)."""
    if len(word) < _SHORTEST or not unknown(word, tools):
        return 0, ""
    reach = 2 if len(word) > _SHORTEST + 2 else 1
    best: list[str] = []
    least = reach
    for size in range(len(word) - reach, len(word) + reach + 1):
        for target in tools.by_length.get(size, ()):
            far = tools.distance(word, target, least)
            if far < least or (far == least and not best):
                best, least = [target], far
            elif far == least:
                best.append(target)
    if not best or any(target in best for target in (word,)):
        return 0, ""
    alike = [target for target in best if target[0] == word[0]] or best
    return (1, alike[0]) if len({_stem(target) for target in alike}) == 1 else (0, "")


def _stem(word: str) -> str:
    return word.removesuffix("s")
