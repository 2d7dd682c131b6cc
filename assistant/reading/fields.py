"""Finds field names: the known ones, head nouns with a name before them, names by where they stand.

A name is "the Miller farm", "north eighty", "Larkin north, ...", "At Mapleton ...".  What
may stand in one is data (``words/field_nouns.toml``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from assistant.reading.field_ends import called, closing, households, numbered
from assistant.reading.field_heads import headed, moved_to, tailed
from assistant.reading.field_known import known_names
from assistant.reading.field_leads import behind_preposition, bracketed, leading, listed
from assistant.reading.field_words import FieldName, Line, NameWords, ends_with, longest_at
from assistant.reading.hybrids import hybrids
from assistant.reading.shorthand import Cutter
from assistant.reading.tokens import Token

#: In the order in which one that overlaps another gives way to it.
_FINDERS = (
    called, headed, numbered, moved_to, tailed, bracketed, behind_preposition, leading, listed, closing,
    households,
)  # fmt: skip
_CORRECTION = 9
_COMPASS = frozenset({"north", "south", "east", "west"})
_WINDS = frozenset({"wind", "winds"})
_NO_FIELD = frozenset({"county", "counties", "day", "state", "university", "extension", "coop"})


class FieldFinder:
    """Finds names in tokens.

    Args:
        tables: what may stand in names.
        forms: the lexicon's forms, by norms.
        cut: makes tokens of a known name.
    """

    def __init__(self, tables: NameWords, forms: Mapping[tuple[str, ...], str], cut: Cutter) -> None:
        self._tables, self._forms, self._cut = tables, forms, cut

    def find(
        self, rows: Sequence[Token], text: str, known: Sequence[str], *, opens: bool = True
    ) -> list[FieldName]:
        """The field names in ``rows`` of the note ``text``, in order, none overlapping.

        Args:
            rows: the tokens.
            text: the note as typed, for its capitals.
            known: names of fields that the casebook knows.
            opens: whether the rows begin the note.
        """
        line = Line(rows, text, self._forms, opens)
        found = known_names(line, known, self._cut, self._tables)
        for finder in _FINDERS:
            found += finder(line, self._tables)
        seeds = _words_of_hybrids(line)
        kept: list[FieldName] = []
        for name in found:
            apart = all(name.last <= other.first or other.last <= name.first for other in kept)
            if (
                apart
                and not _elsewhere(line, name, self._tables)
                and not seeds & set(line.words[name.first : name.last])
            ):
                kept.append(name)
        kept.sort(key=lambda n: n.first)
        standing = [
            name for i, name in enumerate(kept) if not self._taken_back(line, name, kept[i + 1 : i + 2])
        ]
        return [self._led(line.words, name) for name in standing]

    def _taken_back(self, line: Line, name: FieldName, following: list[FieldName]) -> bool:
        """Whether the words between a name and the one behind it take it back."""
        between = line.words[name.last : following[0].first] if following else ()
        return len(between) <= _CORRECTION and any(
            longest_at(between, i, self._tables.taken_back) for i in range(len(between))
        )

    def _led(self, words: tuple[str, ...], name: FieldName) -> FieldName:
        """What stands before the name: a preposition, a move, a comparison, "both"."""
        end = name.first - (words[name.first - 1 : name.first] == ("the",) if name.first else 0)
        before = words[max(0, end - 5) : end]
        moved = name.moved or ends_with(before, self._tables.moves)
        return replace(
            name,
            led=ends_with(before, self._tables.leads),
            moved=moved,
            compared=not moved and ends_with(before, self._tables.compares),
            both=before[-1:] == ("both",),
        )


def _words_of_hybrids(line: Line) -> set[str]:
    """The words that name a hybrid in the note: "the Harlan's susceptible" names no field."""
    named = hybrids(line.rows, line.text)
    return {word for m in named for word in line.words[m.first : m.last] if word.isalpha() and len(word) > 2}


def _elsewhere(line: Line, name: FieldName, tables: NameWords) -> bool:
    """As in "down to Cass County", "Mother's Day"."""
    said = line.words[name.first : name.last]
    if line.word(name.first - 1) in _WINDS or _to_do(line, name):
        return True
    if line.form_over(name.first, name.last) or all(
        w in tables.dates or w in tables.numbers or w.isdigit() for w in said
    ):
        return True
    if said[0] in _NO_FIELD and said[-1] in _COMPASS:
        return True
    return line.word(name.last) in _NO_FIELD or line.words[name.last - 1] in _NO_FIELD


def _to_do(line: Line, name: FieldName) -> bool:
    """As in "I had to hunt": one small word behind "to" is a verb."""
    alone = name.last - name.first == 1 and not line.capital(name.first)
    return alone and line.word(name.first - 1) == "to" and line.word(name.first - 2) not in ("over", "on")
