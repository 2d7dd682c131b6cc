"""The word tables of ``words/*.toml`` turned into look-up tables for the stages of reading."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from assistant.reading.attributes import attributes, group
from assistant.reading.notation import expand
from assistant.reading.wordlists import table
from rules.model import Status, Value

#: The tables whose words count as known, so that repair leaves them alone.
TABLES = (
    "cues",
    "binds",
    "guards",
    "reply",
    "field_nouns",
    "phrases",
    "units",
    "compare",
    "date_words",
    "function_words",
)
LEXICONS = ("lexicon_crop", "lexicon_named", "lexicon_seen")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one spoken form states: an attribute, its value, and how surely."""

    attribute: str
    value: Value
    status: Status = Status.PRESENT
    hedged: bool = False


@dataclass(frozen=True, slots=True)
class Bind:
    """Words beside which a colour belongs to ``attribute``; ``gives`` is stated along with it."""

    attribute: str
    before: tuple[str, ...]
    after: tuple[str, ...]
    gives: Meaning | None


@dataclass(frozen=True, slots=True)
class Slip:
    """How a dictation slip is put right; ``guard``: only beside a word of the trade."""

    read: str
    guard: bool


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All that the reader knows of how people speak."""

    forms: Mapping[str, tuple[Meaning, ...]]
    decoys: frozenset[str]
    decoy_nouns: frozenset[str]
    things: frozenset[str]
    plant_nouns: frozenset[str]
    clause_words: Mapping[str, frozenset[str]]
    company: frozenset[str]
    only_denied: frozenset[str]
    only_doubted: frozenset[str]
    only_of_spray: frozenset[str]
    spray_words: frozenset[str]
    cues: Mapping[str, tuple[str, ...]]
    binds: tuple[Bind, ...]
    slips: Mapping[tuple[str, ...], Slip]
    short: Mapping[str, str]
    grammar: frozenset[str]
    ordinary: frozenset[str]
    names: Mapping[str, tuple[str, ...]]
    reply: Mapping[str, Any]

    @property
    def known(self) -> frozenset[str]:
        """Every word that needs no mending: ordinary, grammar, of the trade, or in any table."""
        return self.ordinary | self.grammar | self.trade | _tabled()

    @property
    def beside(self) -> frozenset[str]:
        """Single words that say that the talk is of the crop: a guarded slip needs one near."""
        groups = group("seen") | group("place") | group("named") | group("stage")
        said = {
            f
            for f, meanings in self.forms.items()
            if " " not in f and any(m.attribute in groups for m in meanings)
        }
        return frozenset(said | set(table("guards")["beside_slips"]))

    @property
    def trade(self) -> frozenset[str]:
        """Every single word that some spoken form holds."""
        return _trade()


@cache
def load() -> Vocabulary:
    """Read the word tables once."""
    guards, functions = table("guards"), table("function_words")
    return Vocabulary(
        forms=_forms(),
        decoys=frozenset(form for line in guards["decoys"] for form in expand(line)),
        decoy_nouns=frozenset(guards["decoy_nouns"]),
        things=frozenset(guards["things"]),
        plant_nouns=frozenset(guards["plant_nouns"]),
        clause_words={attribute: frozenset(words) for attribute, words in guards["clause_words"].items()},
        company=frozenset(guards["company"]),
        only_denied=frozenset(guards["only_denied"]),
        only_of_spray=frozenset(guards["only_of_spray"]),
        spray_words=frozenset(guards["spray_words"]),
        only_doubted=frozenset(guards["only_doubted"]),
        cues={kind: tuple(body["cue"]) for kind, body in table("cues").items()},
        binds=tuple(_bind(name, body) for name, body in table("binds").items()),
        slips=_slips(),
        short={**table("abbreviations")["expand"], **table("abbreviations")["expand_beside"]},
        grammar=frozenset([*functions["words"].split(), *functions["marks"]]),
        ordinary=frozenset(table("ordinary")["words"].split()),
        names={key: tuple(words) for key, words in table("field_nouns").items()},
        reply=table("reply"),
    )


@cache
def _trade() -> frozenset[str]:
    kept = {word for form in _forms() for word in form.split()}
    return frozenset(
        kept | {"plants", "percent", "degrees", "acre", "bushel", "canopy", "severity", "incidence"}
    )


@cache
def _tabled() -> frozenset[str]:
    """The words that stand in any table that is not about slips."""
    return _words_of(TABLES)


@cache
def understood() -> frozenset[str]:
    """Words that need not be told as unread: grammar, and the company that figures and dates keep."""
    return load().grammar | _words_of(("units", "date_words", "compare"))


def _words_of(names: tuple[str, ...]) -> frozenset[str]:
    return frozenset(
        word for name in names for text in _strings(table(name)) for word in re.findall(r"[^\W\d_]+", text)
    )


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value.lower()
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from (key.lower(), *_strings(inner))
    elif isinstance(value, list):
        for inner in value:
            yield from _strings(inner)


def spoken(key: str) -> tuple[str, Status, bool]:
    """Take the mark off a value: ``-`` absent, ``?`` guessed."""
    if key.startswith("-"):
        return key[1:], Status.ABSENT, False
    if key.startswith("?"):
        return key[1:], Status.PRESENT, True
    return key, Status.PRESENT, False


def entries() -> Iterator[tuple[str, str, str, str]]:
    """Every (table, attribute, value with its mark, line) of the lexicon."""
    for name in LEXICONS:
        for attribute, values in table(name).items():
            for key, lines in values.items():
                if key != "example":
                    yield from ((name, attribute, key, line) for line in lines)


def value_of(attribute: str, word: str) -> Value:
    """The value that a lexicon key stands for; yes-attributes hold true."""
    return True if attribute in _yes_attributes() and word == "yes" else word


@cache
def _yes_attributes() -> frozenset[str]:
    return frozenset(name for name, body in attributes().items() if body["kind"] == "yes")


@cache
def _forms() -> dict[str, tuple[Meaning, ...]]:
    found: dict[str, list[Meaning]] = {}
    for phrase in table("phrases")["phrase"]:
        stated = [phrase_meaning(fact) for fact in phrase["facts"]]
        for line in phrase["say"]:
            for form in expand(line):
                found[form] = stated
    said_by_phrase = frozenset(found)
    for _name, attribute, key, line in entries():
        word, status, hedged = spoken(key)
        meaning = Meaning(attribute, value_of(attribute, word), status, hedged)
        for form in expand(line):
            if form in said_by_phrase:
                continue
            for one in (meaning, *_part_in(attribute, form)):
                if one not in found.setdefault(form, []):
                    found[form].append(one)
    return {form: tuple(meanings) for form, meanings in found.items()}


def _part_in(attribute: str, form: str) -> list[Meaning]:
    """The part of the plant that a form names along with its state: "stalks are mushy"."""
    if attribute not in table("guards")["parts_of"]:
        return []
    parts = table("guards")["parts"]
    return [Meaning("plant_part", part) for part, words in parts.items() if set(words) & set(form.split())][
        :1
    ]


def phrase_meaning(fact: list[Any]) -> Meaning:
    """One ``[attribute, value, status]`` of a phrase."""
    attribute, value, status = fact
    return Meaning(attribute, value, Status(status.rstrip("?")), status.endswith("?"))


def _bind(name: str, body: Mapping[str, Any]) -> Bind:
    gives = Meaning(*body["gives"]) if "gives" in body else None
    return Bind(name, tuple(body["before"]), tuple(body["after"]), gives)


def _slips() -> dict[tuple[str, ...], Slip]:
    found = {}
    for key, body in table("misheard").items():
        slip = Slip(body.get("read", key.strip()), body.get("guard", False))
        found.update({tuple(heard.split()): slip for heard in body["heard"]})
    return found


@cache
def pointing() -> Mapping[str, tuple[str, ...]]:
    """Sayings that point back to what was named last, by the status that they give it."""
    body = table("phrases")["pointing"]
    return {
        status: tuple(form for line in body[status] for form in expand(line))
        for status in ("absent", "present")
    }
