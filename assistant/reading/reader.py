"""Words to scenes: the stages of reading in their order, each a small module of this package."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from assistant.reading import dates, measures
from assistant.reading.anaphor import mention_of, refer
from assistant.reading.answers import Answers
from assistant.reading.attach import attach
from assistant.reading.attributes import signs
from assistant.reading.bind import Binder
from assistant.reading.clean import clean, pieces
from assistant.reading.correct import as_corrections, correct
from assistant.reading.cues_applied import apply
from assistant.reading.engine import Engine, cue_kinds
from assistant.reading.field_words import FieldName, NameWords
from assistant.reading.fields import FieldFinder
from assistant.reading.guard import company, decoys, denied_only
from assistant.reading.hybrids import hybrids
from assistant.reading.leftover import unread
from assistant.reading.listed import ListAnswers
from assistant.reading.mention import Cue, Mention, Passage, of_found
from assistant.reading.other_times import other_times
from assistant.reading.overlap import cues_between, from_words, standing
from assistant.reading.problems import split
from assistant.reading.repair import mended, mender
from assistant.reading.said_once import say_once
from assistant.reading.scenes import stretches
from assistant.reading.segments import segment
from assistant.reading.settle import settle
from assistant.reading.shorthand import in_place_of, spelled_out
from assistant.reading.sign_sense import make_sense
from assistant.reading.spray_said import sprays
from assistant.reading.stating import facts_of, separators, shared_out
from assistant.reading.tokens import Token
from assistant.reading.vocabulary import Vocabulary, load
from assistant.reading.word_tables import pointing, understood
from rules.model import Check, Repair, Scene, Status

_MASK = "_"
_BARE = 8
_CLOSE = 3


class Reader:
    """Reads notes.  Made once by :func:`build`; a reader keeps nothing of the notes that it has read."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._words = vocabulary
        self._understood = understood()
        self._kinds = cue_kinds(vocabulary.cues)
        self._pointing = {form: status for status, forms in pointing().items() for form in forms}
        said = [*vocabulary.forms, *vocabulary.decoys, *vocabulary.reply["ask_back"]["say"]]
        self._engine = Engine(said, [*self._kinds, *self._pointing])
        self._binder = Binder(vocabulary, self._engine)
        self._short = {self._cut(short): full for short, full in vocabulary.short.items()}
        known = vocabulary.known
        forms = list(vocabulary.forms)
        self._mender = mender(
            vocabulary.slips, vocabulary.beside, vocabulary.trade, forms, known, self._engine.distance
        )
        tables = NameWords(vocabulary.names, known, vocabulary.grammar)
        self._fields = FieldFinder(tables, self._engine.form_of, self._engine.tokens)
        self._same = tuple(self._cut(phrase) for phrase in vocabulary.names["same"])
        self._answers = Answers(vocabulary.reply, self._norms)
        listed = vocabulary.reply["listed"].items()
        self._lists = ListAnswers(
            {Status(key): [self._norms(said) for said in words] for key, words in listed}
        )
        self._ask = frozenset(vocabulary.reply["ask_back"]["say"])

    def read(
        self, text: str, *, on: date, fields: Sequence[str] = (), asked: Check | None = None
    ) -> tuple[Scene, ...]:
        """What ``text`` says, field by field; at least one scene.

        Args:
            text: the note as typed; any string.
            on: the day of the note.
            fields: names of fields that the casebook knows.
            asked: the check that this may be an answer to.
        """
        scenes = self._read(text, on, fields, "", guarded=asked is None)
        if asked is None:
            return scenes
        rows = self._engine.tokens(text)
        if len(rows) <= _BARE:
            scenes = self._completed(scenes, text, on, fields, asked.attribute)
        first = self._answers.answered(scenes[0], rows, text, asked) if rows else scenes[0]
        return (first, *scenes[1:])

    def _completed(
        self, scenes: tuple[Scene, ...], text: str, on: date, fields: Sequence[str], attribute: str
    ) -> tuple[Scene, ...]:
        """A bare figure read with the words behind it that the question implies."""
        for suffix in self._answers.completes.get(attribute, ()):
            if any(fact.attribute == attribute for scene in scenes for fact in scene.facts):
                break
            more = self._read(text, on, fields, suffix, guarded=False)
            scenes = more if any(fact.attribute == attribute for s in more for fact in s.facts) else scenes
        return scenes

    # ------------------------------------------------------------------ the stages

    def _read(
        self, text: str, on: date, fields: Sequence[str], suffix: str, *, guarded: bool
    ) -> tuple[Scene, ...]:
        cleaned = clean(text)
        passages: list[tuple[Passage, list[FieldName]]] = []
        repairs: list[Repair] = []
        last_named: Mention | None = None
        for start, end in pieces(text):
            rows, names, mended_here = self._rows(text, start, end, fields, suffix)
            repairs += mended_here
            passage = self._passage(text, cleaned, rows, names, on)
            names = _own(passage, names)
            last_named = refer(passage, last_named)
            self._meant(passage)
            passages.append((passage, names))
        if guarded:
            company([m for p, _names in passages for m in p.mentions], self._words)
        for passage, _names in passages:
            other_times(passage.mentions)
            attach(passage)
        return self._scenes(text, passages, repairs)

    def _rows(
        self, text: str, start: int, end: int, fields: Sequence[str], suffix: str
    ) -> tuple[list[Token], list[FieldName], list[Repair]]:
        """Tokens with shorthand written out and slips put right; and the field names in them."""
        rows = spelled_out(
            self._engine.tokens(text[start:end], start), self._short, self._engine.tokens, text
        )
        if suffix and rows:
            rows += in_place_of(rows[-1:], self._engine.tokens(suffix))
        names = self._fields.find(rows, text, fields, opens=start == 0)
        kept = frozenset(rows[i].start for name in names if name.sure for i in range(name.first, name.last))
        rows, repairs = mended(rows, kept, text, self._mender, self._engine.tokens)
        if repairs:
            names = self._fields.find(rows, text, fields, opens=start == 0)
        return rows, names, repairs

    def _passage(
        self, text: str, cleaned: str, rows: list[Token], names: list[FieldName], on: date
    ) -> Passage:
        """The passage with everything that its words name, and the cues between."""
        masked = _masked(rows, names)
        mentions = [Mention(n.first, n.last, "field", n.name, origin="field") for n in names]
        mentions += hybrids(rows, text)
        mentions += [of_found(found, "quantity") for found in measures.find(masked)]
        mentions += [of_found(found, "date") for found in dates.find(cleaned, masked, on)]
        mentions += from_words(rows, self._engine, self._words, self._ask)
        passage = Passage(text, tuple(rows), standing(mentions), [])
        decoys(passage, self._words)
        cues = cues_between(
            rows, self._engine, self._kinds | dict.fromkeys(self._pointing, ("pointing",)), passage.live
        )
        passage.cues = self._pointed(passage, cues)
        segment(passage)
        return passage

    def _pointed(self, passage: Passage, cues: list[Cue]) -> list[Cue]:
        """Make mentions of the cues that point back; with a finding right behind they only deny."""
        kept = []
        for cue in cues:
            status = (
                self._pointing.get(self._engine.cue_of[passage.norms(cue.first, cue.last)])
                if cue.kind == "pointing"
                else None
            )
            ahead = any(
                cue.last <= m.first < cue.last + _CLOSE and m.attribute in signs() for m in passage.live
            )
            if status is None:
                kept.append(cue)
            elif not ahead:
                passage.mentions.append(mention_of(cue.first, cue.last, Status(status)))
            elif status == "absent":
                kept.append(Cue(cue.first, cue.last, "neg_fwd"))
        return kept

    def _meant(self, passage: Passage) -> None:
        """Settle how the passage means what it names."""
        as_corrections(passage)
        self._lists.apply(passage)
        apply(passage)
        denied_only(passage, self._words)
        self._binder.bind(passage)
        make_sense(passage)
        say_once(passage)
        sprays(passage)
        correct(passage)
        settle(passage)

    def _scenes(
        self, text: str, passages: list[tuple[Passage, list[FieldName]]], repairs: list[Repair]
    ) -> tuple[Scene, ...]:
        question = self._question([passage for passage, _names in passages])
        found = stretches(passages, self._same)
        apart = separators([passage for passage, _names in passages])
        left = [u for passage, _names in passages for u in unread(passage, self._understood, text)]
        scenes = []
        for stretch in found:
            facts, clauses = facts_of(stretch, text)
            scenes.append(Scene(field=stretch.name, facts=facts, problems=split(facts, clauses, apart)))
        return shared_out(scenes, found, repairs, left, question)

    def _question(self, passages: list[Passage]) -> str | None:
        asks = [m for passage in passages for m in passage.mentions if m.reason == "asked back"]
        return self._words.reply["ask_back"]["question"] if asks else None

    # ------------------------------------------------------------------ small services

    def _cut(self, phrase: str) -> tuple[str, ...]:
        return tuple(token.text for token in self._engine.tokens(phrase))

    def _norms(self, phrase: str) -> tuple[str, ...]:
        return tuple(token.norm for token in self._engine.tokens(phrase))


def build() -> Reader:
    """Load the vocabulary and spaCy; takes about a second, so do it behind the prompt."""
    return Reader(load())


def _own(passage: Passage, names: list[FieldName]) -> list[FieldName]:
    """The names without those of other people's fields: "a fellow's field across the road"."""
    others = [cue.first for cue in passage.cues if cue.kind == "elsewhere"]
    foreign = [name for name in names if any(0 <= at - name.last < 2 for at in others)]
    for mention in passage.mentions:
        if mention.attribute == "field" and any(mention.first == name.first for name in foreign):
            mention.drop("somebody else's")
    return [name for name in names if name not in foreign]


def _masked(rows: list[Token], names: list[FieldName]) -> list[Token]:
    """The tokens with field names blanked: "north eighty" is no number."""
    inside = {i for name in names for i in range(name.first, name.last)}
    return [
        Token(_MASK, _MASK, row.start, row.end, row.new_line) if i in inside else row
        for i, row in enumerate(rows)
    ]
