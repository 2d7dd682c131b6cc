"""Cases: one field in one season.

The season is the calendar year, or what is left of it until the harvest; what is said
of the field after its harvest belongs to the next year's case.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlite_utils import Database

from assistant.casebook.errors import UnknownCase
from assistant.casebook.fields import Candidates, Exact, checked_name, field_of, free_slug, known_names, match
from assistant.casebook.names import slug
from assistant.casebook.rows import Case, Field
from assistant.casebook.values import day

_YEAR_AT_END = re.compile(r"-(\d{4})$")

#: Every live mention of a case: by the entry itself, or by what was derived from it.
_MENTIONS = """
    SELECT e.uid, e.about, e.case_id, e.field_uid FROM live_entries e
    WHERE e.uid IN (SELECT uid FROM entries WHERE case_id = :case
                    UNION SELECT entry_uid FROM moved WHERE case_id = :case) AND e.case_id = :case
    UNION
    SELECT e.uid, e.about, d.case_id, d.field_uid FROM decisions d JOIN live_entries e ON e.uid = d.entry_uid
    WHERE d.case_id = :case
"""
_KNOWN = """
    SELECT case_id FROM live_entries WHERE case_id IS NOT NULL
    UNION SELECT d.case_id FROM decisions d JOIN live_entries e ON e.uid = d.entry_uid
    WHERE d.case_id IS NOT NULL
"""
# The plus keeps SQLite from going by the kind, of which there are many, where the field has few entries.
_HARVEST = """
    SELECT max(json_extract(e.body, '$.harvested_on')) AS day FROM live_entries e
    WHERE e.uid IN (SELECT uid FROM entries WHERE field_uid = :field
                    UNION SELECT entry_uid FROM moved WHERE field_uid = :field)
      AND +e.kind = 'outcome' AND e.field_uid = :field
      AND substr(json_extract(e.body, '$.harvested_on'), 1, 4) = :year
"""


def case_id_for(db: Database, field: Field, on: date) -> str:
    """The case that a note of that day about that field belongs to."""
    return f"{field.slug}-{season_of(db, field, on)}"


def case_id_for_name(db: Database, name: str, on: date) -> str:
    """The same by name; for a name not known yet, the id that its case will have.

    Raises:
        AmbiguousField: the name could be several known fields, or only resembles one.
    """
    found = match(name, known_names(db))
    if isinstance(found, Exact):
        return case_id_for(db, found.field, on)
    if isinstance(found, Candidates):
        raise found.error()
    return f"{free_slug(db, slug(checked_name(name)))}-{on.year}"


def season_of(db: Database, field: Field, on: date) -> int:
    """The year of the season: the next one once this year's crop is off."""
    harvest = harvest_in(db, field, on.year)
    return on.year + 1 if harvest is not None and on > harvest else on.year


def season_end(db: Database, field: Field | None, year: int) -> date:
    """The last day of a season: the harvest where it is known, else the last of December."""
    harvest = harvest_in(db, field, year) if field else None
    return harvest or date(year, 12, 31)


def harvest_in(db: Database, field: Field, year: int) -> date | None:
    """The last day of that year on which the field is known to have been harvested."""
    (row,) = list(db.query(_HARVEST, {"field": field.uid, "year": f"{year:04}"}))
    return day(row["day"])


def case_of(db: Database, case_id: str) -> Case | None:
    """The case with that id, or None; a case whose id was another before a merge answers to both."""
    case_id = case_now(db, case_id)
    sql = f"SELECT min(about) AS first, max(about) AS last, count(DISTINCT uid) AS entries, \
        max(field_uid) AS field_uid FROM ({_MENTIONS})"
    (row,) = list(db.query(sql, {"case": case_id}))
    return _case(db, case_id, row) if row["entries"] else None


def known_case(db: Database, case_id: str) -> Case:
    """The case with that id.

    Raises:
        UnknownCase: there is none; names those that come closest.
    """
    found = case_of(db, case_id)
    if found is not None:
        return found
    known = sorted(row["case_id"] for row in db.query(_KNOWN))
    close = difflib.get_close_matches(case_id, known)
    hint = f" Did you mean {' or '.join(close)}?" if close else ""
    raise UnknownCase(f'There is no case "{case_id}" in the casebook.{hint}')


def case_now(db: Database, case_id: str) -> str:
    """The id that a case has now: its field may have had another slug before it was merged."""
    sql = """
        SELECT f.slug FROM made_fields m JOIN fields f ON f.uid = m.field_uid
        WHERE m.slug = :slug AND NOT EXISTS (SELECT 1 FROM fields WHERE slug = :slug) ORDER BY f.slug LIMIT 1
    """
    year = _YEAR_AT_END.search(case_id)
    for row in list(db.query(sql, {"slug": case_id[: year.start()]})) if year else ():
        return f"{row['slug']}{case_id[year.start() :]}" if year else case_id
    return case_id


def year_of(case_id: str, first: date) -> int:
    """The season's year: the one at the end of a field's case id, else that of the first note."""
    found = _YEAR_AT_END.search(case_id)
    return int(found[1]) if found else first.year


def _case(db: Database, case_id: str, row: Mapping[str, Any]) -> Case:
    field = field_of(db, row["field_uid"]) if row["field_uid"] else None
    first, last = date.fromisoformat(row["first"]), date.fromisoformat(row["last"])
    year = year_of(case_id, first) if field else first.year
    ends = season_end(db, field, year)
    return Case(id=case_id, field=field, year=year, first=first, last=last, ends=ends, entries=row["entries"])
