"""Finds field names: the known ones, head nouns with a name before them, a name at the head of a note.

A name is "the Miller farm", "north eighty", "Larkin north, ...".  What may stand in one is
data (``words/field_nouns.toml``).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from assistant.reading.engine import plain
from assistant.reading.field_words import FieldName, as_typed, capital, ends_with, longest_at
from assistant.reading.shorthand import Cutter
from assistant.reading.tokens import Token

_MOST = 3
_LEAD = 4
_FIGURES = {"eighty": "80", "forty": "40", "one sixty": "160"}
_COUNTED = frozenset({"percent", "%", "of", "inch", "to", "-", "/", "acres", "degrees", "in"})
_MEASURED = frozenset(
    {"percent", "%", "degrees", "degree", "bushel", "bushels", "dollars", "of", "acres", "inch", "bu", "pct"}
)
_SHORTEST = 4
_SKIPPED = frozenset({"the", ",", "and", "so", "ok", "okay", "well", "then", "now"})
_BEING = frozenset(
    {"is", "'s", "has", "had", "looks", "was", "got", "still", "needs", "at", "though", "today", "this"}
)
_CLOSERS = frozenset({",", ":", "-", "--"})
_HARD = frozenset({".", ";", "!", "?", ":"})


class FieldFinder:
    """Finds names in tokens.

    Args:
        words: the tables of ``field_nouns.toml``.
        ordinary: whether a word is ordinary English or of the trade.
        form: whether a stretch of words is a form of the lexicon or a cue.
        grammar: words that name nothing.
        cut: makes tokens of a known name.
    """

    def __init__(
        self,
        words: Mapping[str, Sequence[str]],
        ordinary: Callable[[str], bool],
        form: Callable[[tuple[str, ...]], bool],
        cut: Cutter,
        grammar: frozenset[str],
    ) -> None:
        self.heads = frozenset(words["heads"])
        self.weak = frozenset(words["weak_heads"])
        self.landmarks = frozenset(words["landmarks"])
        self.never = frozenset(words["never"]) | (grammar - self.landmarks - self.heads)
        self.tails = frozenset(words["tails"])
        self.openers = frozenset(words["openers"])
        self.persons, self.numbered, self.figures = (
            frozenset(words[key]) for key in ("persons", "numbered_heads", "figures")
        )
        self.leads, self.moves, self.compares, self.begins = (
            tuple(tuple(phrase.split()) for phrase in words[key])
            for key in ("leads", "moves", "compares", "begins")
        )
        self.opening_moves = frozenset(phrase[0] for phrase in self.moves)
        self.ordinary, self.form, self.cut = ordinary, form, cut

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
        words = tuple(row.text for row in rows)
        found = self._known(words, known)
        found += self._headed(rows, words, text)
        found += self._moved_to(rows, words, text)
        found += self._tailed(rows, words, text)
        for start in self._starts(rows, words):
            found += self._leading(rows, words, text, start, first=opens and start == 0)
        kept: list[FieldName] = []
        for name in found:
            if all(name.last <= other.first or other.last <= name.first for other in kept):
                kept.append(name)
        return [self._led(words, name) for name in sorted(kept, key=lambda n: n.first)]

    def _known(self, words: tuple[str, ...], known: Sequence[str]) -> list[FieldName]:
        found: list[FieldName] = []
        figured = tuple(_FIGURES.get(word, word) for word in words)
        for name in sorted(known, key=len, reverse=True):
            said = tuple(_FIGURES.get(token.text, token.text) for token in self.cut(name))
            for i in range(len(words) - len(said) + 1 if said else 0):
                if figured[i : i + len(said)] == said:
                    found.append(FieldName(i, i + len(said), name))
        return found

    def _headed(self, rows: Sequence[Token], words: tuple[str, ...], text: str) -> list[FieldName]:
        found: list[FieldName] = []
        for i in range(len(words) - 1, -1, -1):
            if (
                words[i] not in self.heads
                or (found and i >= found[-1].first)
                or words[i + 1 : i + 2] == ("of",)
            ):
                continue
            if words[i + 1 : i + 2] and words[i + 1] in _MEASURED and words[i] in self.weak:
                continue
            first = self._name_before(rows, words, text, i)
            last = i + 1
            if words[i] in self.numbered and self._numbered(words, i + 1):
                first, last = min(first, i), i + 2
            stretch = words[first:last]
            if (first < i or last > i + 1) and not self.form(stretch):
                found.append(FieldName(first, last, as_typed(rows, first, last, text)))
        return found

    def _numbered(self, words: tuple[str, ...], i: int) -> bool:
        """Whether a small number stands at ``i`` that counts nothing: "field 12", "section twelve"."""
        small = i < len(words) and (
            words[i] in self.figures or (words[i].isdigit() and len(words[i]) <= _MOST)
        )
        return small and not set(words[i + 1 : i + 2]) & _COUNTED

    def _name_before(self, rows: Sequence[Token], words: tuple[str, ...], text: str, i: int) -> int:
        """Where the name before the head at ``i`` begins (``i`` if there is none)."""
        first, named = i, False
        while first > 0 and i - first < _MOST + 1:
            word = words[first - 1]
            if word == "'s" and first > 1 and plain(words[first - 2]) and words[first - 2] not in self.never:
                first, named = first - 2, True
                continue
            if (
                not self._in_name(rows[first - 1], word, text, strong=words[i] not in self.weak)
                or rows[first].new_line
            ):
                break
            named = named or word not in self.weak
            first -= 1
        return first if named else i

    def _in_name(self, row: Token, word: str, text: str, *, strong: bool) -> bool:
        if not plain(word) or word in self.never:
            return False
        if word in self.landmarks or word in self.heads:
            return True
        if self.form((word,)):
            return False
        return strong or not self.ordinary(word) or capital(row, text)

    def _moved_to(self, rows: Sequence[Token], words: tuple[str, ...], text: str) -> list[FieldName]:
        """A bare name behind "over at": "same thing over at Hodge's"."""
        found: list[FieldName] = []
        for i in range(len(words)):
            size = longest_at(words, i, self.moves) if words[i] in self.opening_moves else 0
            if not size:
                continue
            first = i + size + (words[i + size : i + size + 1] == ("the",))
            last = self._bare(rows, words, text, first)
            if last > first:
                found.append(FieldName(first, last, as_typed(rows, first, last, text), moved=True))
        return found

    def _bare(self, rows: Sequence[Token], words: tuple[str, ...], text: str, first: int) -> int:
        """The end of a name without a head noun that begins at ``first``, or ``first``."""
        last = first
        while (
            last < len(words)
            and last - first < _MOST
            and self._nameable(rows[last], words[last], text, last - first)
        ):
            last += 1
        strange = any(not self.ordinary(word) and word not in self.never for word in words[first:last])
        possessive = last < len(words) and words[last] == "'s" and last > first
        return last if strange or possessive else first

    def _nameable(self, row: Token, word: str, text: str, place: int) -> bool:
        if not plain(word) and not (place and word.isdigit() and word in self.tails):
            return False
        if place and word in self.tails:
            return True
        if word in self.never or word in self.openers or self.form((word,)):
            return False
        return not self.ordinary(word) or (word in self.landmarks) or capital(row, text)

    def _starts(self, rows: Sequence[Token], words: tuple[str, ...]) -> list[int]:
        """Where sentences and lines begin, behind words that only open them."""
        starts = []
        for i in range(len(words)):
            if i == 0 or rows[i].new_line or words[i - 1] in _HARD:
                size = max(longest_at(words, i, self.begins), 0)
                while i + size < len(words) and words[i + size] in _SKIPPED:
                    size += 1
                starts.append(i + size)
        return starts

    def _tailed(self, rows: Sequence[Token], words: tuple[str, ...], text: str) -> list[FieldName]:
        """As in "tar spot on Kessler north": a strange name with a word that ends names behind it."""
        found: list[FieldName] = []
        for i in range(1, len(words)):
            if words[i] not in self.tails or not words[i].isalpha() or words[i] in self.never:
                continue
            first = i
            while (
                first > 0 and i - first < _MOST - 1 and self._strange(rows[first - 1], words[first - 1], text)
            ):
                first -= 1
            if first < i and not self.form(words[first : i + 1]):
                found.append(FieldName(first, i + 1, as_typed(rows, first, i + 1, text)))
        return found

    def _loose(self, word: str) -> bool:
        """Whether an ordinary word may open a note as a field's name: "triangle, R3"."""
        return plain(word) and word not in self.never | self.openers | self.persons and not self.form((word,))

    def _strange(self, row: Token, word: str, text: str) -> bool:
        """Whether a word can only be a name: unknown, or with a capital inside a sentence."""
        if not plain(word) or len(word) < _SHORTEST or word in self.never or self.form((word,)):
            return False
        return not self.ordinary(word) or capital(row, text)

    def _leading(
        self, rows: Sequence[Token], words: tuple[str, ...], text: str, start: int, *, first: bool
    ) -> list[FieldName]:
        """As in "Larkin north, tan spots ...": first words before a comma, a colon or "is"."""
        last = self._loosely(words, start) if first else start
        if last == start or not self._closed(rows, words, last):
            last = self._strictly(rows, words, text, start)
            if (
                last == start
                or self.form(words[start:last])
                or not self._reads_as_name(rows, words, start, last)
            ):
                return []
        return (
            []
            if self.form(words[start:last])
            else [FieldName(start, last, as_typed(rows, start, last, text))]
        )

    def _loosely(self, words: tuple[str, ...], start: int) -> int:
        """The end of a run of words that may open a note as a name: "triangle, R3"."""
        last = start
        while last < len(words) and last - start < _LEAD and self._loose(words[last]):
            last += 1
        return last

    def _strictly(self, rows: Sequence[Token], words: tuple[str, ...], text: str, start: int) -> int:
        """The end of a run of words that are unknown, landmarks or written with a capital."""
        last = start
        while last < len(words) and last - start < _LEAD:
            if not self._nameable(rows[last], words[last], text, last - start):
                break
            last += 1
        return last

    def _closed(self, rows: Sequence[Token], words: tuple[str, ...], last: int) -> bool:
        """Whether a comma, a colon or the end follows, with "'s" before it or not."""
        last += words[last : last + 1] == ("'s",)
        return last == len(words) or words[last] in _CLOSERS or rows[last].new_line

    def _reads_as_name(self, rows: Sequence[Token], words: tuple[str, ...], start: int, last: int) -> bool:
        strange = any(len(word) > 2 and not self.ordinary(word) for word in words[start:last])
        tailed = last - start > 1 and words[last - 1] in self.tails | self.heads
        closed = self._closed(rows, words, last) or words[last] in _BEING
        landmarks = start == 0 and tailed and self.landmarks.issuperset(words[start : last - 1])
        return landmarks or (strange and (closed or tailed)) or (tailed and closed)

    def _led(self, words: tuple[str, ...], name: FieldName) -> FieldName:
        """What stands before the name: a preposition, a move, a comparison, "both"."""
        end = name.first - (words[name.first - 1 : name.first] == ("the",) if name.first else 0)
        before = words[max(0, end - 5) : end]
        moved = name.moved or ends_with(before, self.moves)
        return FieldName(
            name.first,
            name.last,
            name.name,
            led=ends_with(before, self.leads),
            moved=moved,
            compared=not moved and ends_with(before, self.compares),
            both=before[-1:] == ("both",),
        )
