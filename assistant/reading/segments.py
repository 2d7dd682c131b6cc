"""Numbers the sentences and clauses of a passage."""

from __future__ import annotations

from assistant.reading.mention import Passage
from assistant.reading.scope import HARD

_TURNS = frozenset({"but", "however", "though", "although", "except", "then", "while", "otherwise", "also"})


def segment(passage: Passage) -> None:
    """Set the sentence and clause number of every token."""
    inside = {i for m in passage.live for i in range(m.first, m.last)}
    sentence = clause = 0
    passage.sentence, passage.clause = [], []
    for i, token in enumerate(passage.tokens):
        if i and token.new_line:
            sentence, clause = sentence + 1, clause + 1
        if token.text in _TURNS or (token.text == "," and i not in inside):
            clause += 1
        passage.sentence.append(sentence)
        passage.clause.append(clause)
        if token.text in HARD and i not in inside:
            sentence, clause = sentence + 1, clause + 1
