"""Where several people say different things of one matter: all is kept, and listed for a person to see."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass

from assistant.casebook.book import Casebook
from assistant.casebook.fields import Candidates
from assistant.casebook.rows import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """One matter: what it is about, the entries that disagree (oldest first), and what holds for now."""

    about: str
    text: str
    entries: tuple[str, ...]
    authors: tuple[str, ...]


def conflicts(book: Casebook) -> tuple[Conflict, ...]:
    """Every matter in which the entries of different authors disagree.

    Whoever holds the same entries finds the same ones.
    """
    return tuple(each for find in (_corrections, _stated, _doubtful_names, _revived) for each in find(book))


def _corrections(book: Casebook) -> Iterator[Conflict]:
    standing = {e.uid: e for e in book.entries_all()}
    by_note: dict[str, list[Entry]] = defaultdict(list)
    taken_back = {e.refers_to for e in book.journal() if e.kind == "withdrawal"}
    for each in book.journal():
        if each.kind == "correction" and each.uid not in taken_back and each.refers_to in standing:
            by_note[each.refers_to].append(each)
    for uid, group in by_note.items():
        if _differ(group, lambda e: e.text):
            text = f'two corrections of "{_short(standing[uid])}"; the latest stands'
            yield _conflict("correction", text, group)


#: What only one of several can be right about: of which field or name, and what it says.
_MATTERS: dict[str, tuple[Callable[[Entry], Hashable], Callable[[Entry], object], str]] = {
    "position": (
        lambda e: e.field_uid,
        lambda e: (e.body.get("lat"), e.body.get("lon")),
        "two positions of {name}",
    ),
    "outcome": (
        lambda e: (e.case_id, e.field_uid),
        lambda e: (e.body.get("harvested_on"), e.body.get("yield_bu_ac")),
        "two outcomes of {name}",
    ),
    "setting": (lambda e: e.body.get("name"), lambda e: e.body.get("value"), "two values of a setting"),
    "label": (
        lambda e: e.body.get("name"),
        lambda e: sorted(map(repr, e.body.items())),
        "two readings of a label",
    ),
}


def _stated(book: Casebook) -> Iterator[Conflict]:
    names = {field.uid: field.name for field in book.fields()}
    for kind, (matter, says, words) in _MATTERS.items():
        groups: dict[Hashable, list[Entry]] = defaultdict(list)
        for each in sorted(book.entries_all(kind), key=lambda e: e.seq):
            groups[matter(each)].append(each)
        for group in groups.values():
            if _differ(group, says):
                name = names.get(group[0].field_uid or "", "no known field")
                yield _conflict(kind, f"{words.format(name=name)}; the latest holds", group)


def _doubtful_names(book: Casebook) -> Iterator[Conflict]:
    """Names of one field that could now mean another as well, because somebody else made that one."""
    makers: dict[str, list[Entry]] = defaultdict(list)
    for each in book.journal():
        if each.kind in ("field", "alias"):
            makers[str(each.body["name"])].append(each)
    for name in book.field_names():
        found = book.match(name)
        if isinstance(found, Candidates) and found.several:
            named = [e for field in found.fields for e in makers[field.name]] + makers[name]
            which = " and ".join(f'"{field.name}"' for field in found.fields)
            text = f'"{name}" could mean {which}; it is asked each time'
            yield _conflict("name", text, {e.uid: e for e in named}.values())


def _revived(book: Casebook) -> Iterator[Conflict]:
    standing = {field.uid for field in book.fields()}
    journal = {e.uid: e for e in book.journal()}
    for each in journal.values():
        target = journal.get(each.refers_to or "") if each.kind == "withdrawal" else None
        if target and target.kind == "field" and target.field_uid in standing:
            name = target.body["name"]
            said = [e for e in book.entries_all() if e.field_uid == target.field_uid]
            text = f'the field "{name}" was taken back, but something was done on it; it stands'
            yield _conflict("field", text, (each, *(e for e in said if e.kind != "field")))


def _differ(group: list[Entry], says: Callable[[Entry], object]) -> bool:
    """Whether two authors' last words on it are not the same."""
    last = {e.author: repr(says(e)) for e in group}
    return len(set(last.values())) > 1


def _conflict(about: str, text: str, entries: Iterable[Entry]) -> Conflict:
    found = tuple(entries)
    authors = tuple(sorted({e.author for e in found}))
    return Conflict(about=about, text=text, entries=tuple(e.uid for e in found), authors=authors)


def _short(entry: Entry, most: int = 50) -> str:
    words = " ".join(entry.text.split())
    return words if len(words) <= most else words[:most].rsplit(" ", 1)[0] + " ..."
