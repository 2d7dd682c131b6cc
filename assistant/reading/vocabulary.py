"""The vocabulary of the reader: :func:`load` gives it, :func:`faults` says what is wrong with its tables.

The tables (``words/*.toml``) are data that an agronomist edits, so their sense is checked and
not only their shape: all faults at once, each with its file and record.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from assistant.reading.attributes import allowed, attributes
from assistant.reading.notation import expand
from assistant.reading.word_tables import LEXICONS, Vocabulary, entries, load, phrase_meaning, spoken
from assistant.reading.wordlists import table
from rules.model import Fault

__all__ = ["Vocabulary", "faults", "load"]

#: Attributes that figures and dates state, or that the rules derive; no spoken form is theirs.
_NO_FORMS = frozenset({"number", "date", "stage"})
#: Text that is taken from the note as it stands.
_AS_SAID = frozenset(
    {"field", "hybrid", "rating_for", "suspected_problem", "nearby_find", "field_history", "spray_stage"}
)
#: Cues that may stand inside a form: there they belong to the form.
#: Attributes that are stated by a denial of others: no marks farther in, none on the new leaves.
_CLEAN = frozenset({"new_leaves_clean", "gradient_from_edge"})
_DENY_AND_STATE = frozenset({"two skins with nothing between"})
_INSIDE = frozenset({"no", "not", "never", "none", "nothing", "without"})


def faults() -> list[Fault]:
    """Everything that is wrong with the word tables."""
    return [
        *_unknown_attributes(),
        *_two_values(),
        *_denials(),
        *_examples(),
        *_unsayable(),
        *_slips(),
        *_cue_shapes(),
    ]


def _unknown_attributes() -> Iterator[Fault]:
    """An attribute or a value that the vocabulary of facts does not hold."""
    known = attributes()
    for name, attribute, key, _line in entries():
        if attribute not in known:
            yield Fault(file=f"{name}.toml", record=attribute, message="no such attribute in attributes.toml")
            continue
        values, word = allowed(attribute), spoken(key)[0]
        if known[attribute]["kind"] == "id" and values is not None and word not in values:
            allows = ", ".join(sorted(values)) or "nothing"
            message = f"{word!r} is no value of this attribute; allowed: {allows}"
            yield Fault(file=f"{name}.toml", record=f"{attribute}.{word}", message=message)
    for i, phrase in enumerate(table("phrases")["phrase"]):
        for fact in phrase["facts"]:
            meaning = phrase_meaning(fact)
            values = allowed(meaning.attribute) if meaning.attribute in known else frozenset()
            if (
                known.get(meaning.attribute, {}).get("kind") == "id"
                and values is not None
                and meaning.value not in values
            ):
                yield Fault(file="phrases.toml", record=f"phrase {i + 1}", message=f"no such fact: {fact}")


def _two_values() -> Iterator[Fault]:
    """A form that stands under two values of one attribute."""
    seen: dict[tuple[str, str], str] = {}
    for name, attribute, key, line in entries():
        for form in expand(line):
            old = seen.setdefault((attribute, form), key)
            if old != key:
                message = f"{form!r} stands under {old} and under {key}"
                yield Fault(file=f"{name}.toml", record=attribute, message=message)


def _denials() -> Iterator[Fault]:
    """A form that denies, under a yes: "no halo" must not state a halo."""
    for name, attribute, key, line in entries():
        if (
            attributes().get(attribute, {}).get("kind") == "yes"
            and attribute not in _CLEAN
            and not key.startswith("-")
        ):
            for form in expand(line):
                if _INSIDE & set(form.split()) and form not in _DENY_AND_STATE:
                    yield Fault(file=f"{name}.toml", record=attribute, message=f"{form!r} holds a denial")


def _examples() -> Iterator[Fault]:
    """Every group shows one note that it reads."""
    for name in LEXICONS:
        for attribute, values in table(name).items():
            if "example" not in values:
                yield Fault(file=f"{name}.toml", record=attribute, message="has no example note")
    for name in ("cues", "binds"):
        for kind, body in table(name).items():
            if "example" not in body:
                yield Fault(file=f"{name}.toml", record=kind, message="has no example note")


def _unsayable() -> Iterator[Fault]:
    """An attribute or a value that no words state."""
    said: dict[str, set[str]] = {}
    for _name, attribute, key, _line in entries():
        said.setdefault(attribute, set()).add(spoken(key)[0])
    for phrase in table("phrases")["phrase"]:
        for fact in phrase["facts"]:
            said.setdefault(fact[0], set()).add(str(fact[1]))
    colours = said.get("lesion_colour", set())
    for attribute, body in attributes().items():
        if body["group"] == "finding" or body["kind"] in _NO_FORMS or attribute in _AS_SAID:
            continue
        bound = colours if attribute in table("binds") else set()
        values = allowed(attribute) if body["kind"] == "id" else None
        missing = (values or frozenset()) - said.get(attribute, set()) - bound
        if not (said.get(attribute) or bound):
            yield Fault(file="lexicon", record=attribute, message="nothing can be said to state it")
        for value in sorted(missing):
            yield Fault(file="lexicon", record=f"{attribute}.{value}", message="no spoken form states it")


def _slips() -> Iterator[Fault]:
    """A slip that is ordinary English without a guard, or that is a form itself."""
    words = load()
    for heard, slip in words.slips.items():
        if not slip.guard and len(heard) == 1 and heard[0] in words.ordinary:
            message = f"{heard[0]!r} is an ordinary word: it needs guard = true"
            yield Fault(file="misheard.toml", record=slip.read, message=message)
        if " ".join(heard) in words.forms:
            message = f"{' '.join(heard)!r} is a spoken form itself"
            yield Fault(file="misheard.toml", record=slip.read, message=message)


def _cue_shapes() -> Iterator[Fault]:
    """A cue twice in its kind, or one that is a spoken form."""
    forms = load().forms
    for kind, cues in load().cues.items():
        for cue in _twice(cues):
            yield Fault(file="cues.toml", record=kind, message=f"{cue!r} stands twice")
        for cue in cues:
            if cue in forms:
                yield Fault(file="cues.toml", record=kind, message=f"{cue!r} is a spoken form as well")


def _twice(words: Iterable[str]) -> list[str]:
    seen: set[str] = set()
    return [word for word in words if word in seen or seen.add(word)]  # type: ignore[func-returns-value]
