"""Which known field a spoken name means: one of them, perhaps one of them, or a new one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from sqlite_utils import Database

from assistant.casebook.errors import AmbiguousField, BadEntry, UnknownField
from assistant.casebook.names import DIRECTIONS, bare, joined, normalise, singular, suffix, tidy
from assistant.casebook.rows import Field

_Tokens = tuple[str, ...]

#: Letters that a word needs before one slip, or two, still leave it the same word.
_WORTH_A_SLIP = 4
_WORTH_TWO = 8


@dataclass(frozen=True, slots=True)
class Exact:
    """The name is this field's."""

    field: Field


@dataclass(frozen=True, slots=True)
class Candidates:
    """The name may mean one of these; only a person can say.

    ``several`` is True when the words fit more than one field alike ("north eighty"
    beside North Eighty East and North Eighty West), False when they only resemble
    (a slip of the tongue, a word left out).
    """

    said: str
    fields: tuple[Field, ...]
    several: bool

    def error(self) -> AmbiguousField:
        """What to say where nobody can be asked."""
        names = ", ".join(f'"{field.name}"' for field in self.fields)
        if self.several:
            return AmbiguousField(f'"{self.said}" could be more than one field: {names}. Say which, in full.')
        return AmbiguousField(
            f'No field is called "{self.said}", but {names} comes close. Say the field\'s name in full.'
        )


@dataclass(frozen=True, slots=True)
class New:
    """No known field is called anything like it."""

    said: str


Match = Exact | Candidates | New


@dataclass(frozen=True, slots=True)
class KnownName:
    """One name of one field, ready to be compared."""

    tokens: _Tokens
    name: str
    field: Field


#: From strict to kind; the first way of comparing that finds anything decides.
WAYS: tuple[Callable[[_Tokens], _Tokens], ...] = (tuple, singular, joined, bare)


def match(said: str, known: Iterable[KnownName]) -> Match:
    """Which of the known fields ``said`` means; the order of ``known`` does not matter."""
    tokens, names = tuple(normalise(said).split()), tuple(known)
    if not tokens:
        return New(said)
    agreeing = [n for n in names if not suffixes_clash(n.tokens, tokens)]
    for way in WAYS:
        hits = _fields(n for n in agreeing if way(n.tokens) == way(tokens))
        if hits:
            return Exact(hits[0]) if len(hits) == 1 else Candidates(said, hits, several=True)
    longer = _fields(n for n in names if _is_part(tokens, n.tokens))
    if len(longer) > 1:
        return Candidates(said, longer, several=True)
    near = longer or _fields(n for n in names if _resembles(tokens, n.tokens))
    return Candidates(said, near, several=False) if near else New(said)


def known_names(db: Database) -> tuple[KnownName, ...]:
    """Every name of every field, aliases too, in the order of the names."""
    sql = """
        SELECT n.normalised, n.name, f.uid, f.name, f.slug
        FROM field_names n JOIN fields f ON f.uid = n.field_uid
        ORDER BY n.name, n.field_uid
    """
    return tuple(
        KnownName(tuple(normalised.split()), name, Field(uid=uid, name=first, slug=slug))
        for normalised, name, uid, first, slug in db.execute(sql).fetchall()
    )


def spoken_names(db: Database) -> tuple[str, ...]:
    """Every name of every field as written, each once."""
    sql = "SELECT DISTINCT n.name FROM field_names n JOIN fields f ON f.uid = n.field_uid ORDER BY n.name"
    return tuple(name for (name,) in db.execute(sql).fetchall())


def known_fields(db: Database) -> tuple[Field, ...]:
    """Every field, in the order of the names."""
    return tuple(Field(**row) for row in db.table("fields").rows_where(order_by="name, uid"))


def field_of(db: Database, uid: str) -> Field:
    """The field with that uid.

    Raises:
        UnknownField: there is none.
    """
    now = "coalesce((SELECT field_uid FROM made_fields WHERE uid = :uid), :uid)"
    sql = f"SELECT * FROM fields WHERE uid = {now}"
    for row in list(db.query(sql, {"uid": uid})):
        return Field(**row)
    raise UnknownField(f"No field has the uid {uid!r}; make it with add_field first.")


def field_named(db: Database, name: str) -> Field:
    """The one field of that name.

    Raises:
        UnknownField: no field is called anything like it.
        AmbiguousField: it could be more than one, or only resembles one.
    """
    found = match(name, known_names(db))
    if isinstance(found, Exact):
        return found.field
    if isinstance(found, Candidates):
        raise found.error()
    raise UnknownField(f'No field is called "{tidy(name)}".')


def free_slug(db: Database, wanted: str) -> str:
    """The slug itself, or with -2, -3 ... where fields made earlier have it."""
    taken = {row["slug"] for row in db.query("SELECT slug FROM fields UNION SELECT slug FROM made_fields")}
    number, slug = 1, wanted
    while slug in taken:
        number += 1
        slug = f"{wanted}-{number}"
    return slug


def checked_name(name: str) -> str:
    """The name as it is kept.

    Raises:
        BadEntry: nothing of it can be said or compared.
    """
    kept = tidy(name)
    if not normalise(kept):
        raise BadEntry(f"{name!r} is no name for a field: it needs a letter or a digit.")
    return kept


def _fields(names: Iterable[KnownName]) -> tuple[Field, ...]:
    """The fields of the names, each once, in an order that does not depend on the file."""
    return tuple(sorted({n.field for n in names}, key=lambda field: (field.name, field.uid)))


def suffixes_clash(one: _Tokens, other: _Tokens) -> bool:
    """Whether both end in such a word and not in the same: the Gantt farm is not the Gantt piece."""
    return bool(suffix(one) and suffix(other)) and suffix(one) != suffix(other)


def _is_part(said: _Tokens, known: _Tokens) -> bool:
    """Whether the known name has all the words that were said, and more."""
    few, many = Counter(bare(said)), Counter(bare(known))
    return few < many


def _resembles(said: _Tokens, known: _Tokens) -> bool:
    """The same words in another order, with another suffix, or with slips within a word."""
    one, other = bare(said), bare(known)
    if sorted(one) == sorted(other):
        return True
    if len(one) != len(other):
        return _slip("".join(one), "".join(other)) and _numbers(one) == _numbers(other)
    return all(a == b or _slip(a, b) for a, b in zip(one, other, strict=True))


def _slip(one: str, other: str) -> bool:
    """Whether two words differ by a slip: never two numbers, two directions, or short words."""
    if one.isdigit() or other.isdigit() or {one, other} <= DIRECTIONS:
        return False
    shorter = min(len(one), len(other))
    allowed = 0 if shorter < _WORTH_A_SLIP else 1 if shorter < _WORTH_TWO else 2
    return _edits(one, other) <= allowed


def _numbers(tokens: _Tokens) -> list[str]:
    return [t for t in tokens if t.isdigit()]


def _edits(one: str, other: str) -> int:
    """Letters put in, left out, changed, or swapped with their neighbour, to turn one word into the other.

    The restricted Damerau-Levenshtein distance (optimal string alignment).
    """
    before, row = [0] * (len(other) + 1), list(range(len(other) + 1))
    for i, a in enumerate(one, start=1):
        before, last, row = row, before, [i]
        for j, b in enumerate(other, start=1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (a != b))
            if i > 1 and j > 1 and a == other[j - 2] and one[i - 2] == b:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
    return row[-1]
