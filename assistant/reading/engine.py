"""The door to spaCy: its English tokenizer and its phrase matcher, nothing else.

Everything that leaves this module is plain data.  spaCy is imported when an engine is
built, not when the package is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from assistant.reading.clean import clean
from assistant.reading.tokens import Token

if TYPE_CHECKING:
    from spacy.language import Language
    from spacy.tokens import Doc

#: Marks that spaCy leaves glued between words ("south,60", "midrib+sheath").
_GLUED = re.compile(r"(?<=[^\d\W])[,(+|=&;:/)](?=\w)|(?<=\w)[,(+|=&;:)](?=[^\d\W])")
_DOTTED = re.compile(r"[a-z](-[a-z])?\.\Z")
_WORD = re.compile(r"[^\W\d_]{2,}")
#: Verbs whose tense spaCy levels in front of "n't" but not in front of "not".
_VERBS = {
    verb: verb
    for verb in ["did", "does", "do", "is", "was", "were", "are", "could", "would", "should", "might", "must"]
}
_VERBS |= dict.fromkeys(("has", "had", "have", "'ve"), "have")
_KEPT_WHOLE = frozenset({"w/o", "b/c"})

Match = tuple[int, int]


class Engine:
    """Cuts text into tokens and finds phrases in them.

    Args:
        forms: spoken forms of the lexicon.
        cues: scope cues.  Both are matched on norms: "n't" is "not", "has" and "had" are "have".
    """

    def __init__(self, forms: Iterable[str], cues: Iterable[str]) -> None:
        import spacy
        from spacy.matcher import PhraseMatcher, levenshtein

        self.distance: Callable[[str, str, int], int] = levenshtein
        self._nlp: Language = spacy.blank("en")
        tokenizer: Any = self._nlp.tokenizer
        self._split_words = frozenset(tokenizer.rules)
        self._forms = PhraseMatcher(self._nlp.vocab, attr="NORM")
        self._cues = PhraseMatcher(self._nlp.vocab, attr="NORM")
        self.form_of: dict[tuple[str, ...], str] = {}
        self.cue_of: dict[tuple[str, ...], str] = {}
        self._learn(self._forms, forms, self.form_of)
        self._learn(self._cues, cues, self.cue_of)

    def _learn(self, matcher: Any, said: Iterable[str], kept: dict[tuple[str, ...], str]) -> None:
        docs = []
        for phrase in said:
            rows = self._plain(phrase) or self.tokens(phrase)
            if rows:
                kept[tuple(row.norm for row in rows)] = phrase
                docs.append(self._doc(rows))
        matcher.add("said", docs)

    def _plain(self, phrase: str) -> list[Token]:
        """The words of a phrase that the tokenizer leaves as they are; none where it would not."""
        words = phrase.split()
        if not all(word.isalpha() and word not in self._split_words for word in words):
            return []
        return [Token(word, _VERBS.get(word, self._nlp.vocab[word].norm_), 0, 0) for word in words]

    def tokens(self, text: str, at: int = 0) -> list[Token]:
        """The words of ``text``, its first character standing at ``at`` of the note."""
        rows: list[Token] = []
        new_line = False
        for token in self._nlp.make_doc(clean(text)):
            if token.is_space:
                new_line = new_line or "\n" in token.text
                continue
            said = _VERBS.get(token.text, token.norm_)
            for word, norm, offset in _split(token.text, said):
                start = at + token.idx + offset
                rows.append(Token(word, norm, start, start + len(word), new_line))
                new_line = False
        return _without_hyphens(rows)

    def forms_in(self, rows: Sequence[Token]) -> list[tuple[int, int, str]]:
        """Every stretch of tokens that is a form of the lexicon, with the form."""
        norms = tuple(row.norm for row in rows)
        return [(s, e, self.form_of[norms[s:e]]) for s, e in self._run(self._forms, rows)]

    def cues_in(self, rows: Sequence[Token]) -> list[tuple[int, int, str]]:
        """Every stretch of tokens that is a scope cue, with the cue."""
        norms = tuple(row.norm for row in rows)
        return [(s, e, self.cue_of[norms[s:e]]) for s, e in self._run(self._cues, rows)]

    def _run(self, matcher: Any, rows: Sequence[Token]) -> list[Match]:
        return sorted({(start, end) for _key, start, end in matcher(self._doc(rows))}) if rows else []

    def _doc(self, rows: Sequence[Token]) -> Doc:
        from spacy.tokens import Doc

        doc = Doc(self._nlp.vocab, words=[row.text for row in rows])
        for token, row in zip(doc, rows, strict=True):
            if token.norm_ != row.norm:
                token.norm_ = row.norm  # a Doc made from words forgets that "n't" means "not"
        return doc


def _split(word: str, norm: str) -> list[tuple[str, str, int]]:
    """Part what is glued together; (word, norm, offset) each."""
    if word in _KEPT_WHOLE:
        return [(word, norm, 0)]
    if len(word) > 1 and _DOTTED.fullmatch(word):
        return [(word[:-1], word[:-1], 0), (".", ".", len(word) - 1)]
    if not _GLUED.search(word):
        return [(word, norm, 0)]
    rows, start = [], 0
    for mark in _GLUED.finditer(word):
        rows += [(word[start : mark.start()], start), (mark[0], mark.start())]
        start = mark.end()
    rows.append((word[start:], start))
    return [(part, part, offset) for part, offset in rows if part]


def _without_hyphens(rows: list[Token]) -> list[Token]:
    """Drop the hyphen of "water-soaked"; that of "R4-R5" and "15-20" stays."""
    kept: list[Token] = []
    new_line = False
    for i, row in enumerate(rows):
        if row.text == "-" and 0 < i < len(rows) - 1 and _joins(rows[i - 1], row, rows[i + 1]):
            continue
        kept.append(replace(row, new_line=True) if new_line else row)
    return kept


def _joins(before: Token, hyphen: Token, after: Token) -> bool:
    close = before.end == hyphen.start and hyphen.end == after.start
    return close and bool(_WORD.fullmatch(before.text)) and bool(_WORD.fullmatch(after.text))


def plain(word: str) -> bool:
    """Whether ``word`` is letters alone."""
    return word.isalpha()


def cue_kinds(cues: Mapping[str, Sequence[str]]) -> dict[str, tuple[str, ...]]:
    """Each cue with the kinds that it belongs to."""
    kinds: dict[str, list[str]] = {}
    for kind, said in cues.items():
        for cue in said:
            kinds.setdefault(cue, []).append(kind)
    return {cue: tuple(found) for cue, found in kinds.items()}
