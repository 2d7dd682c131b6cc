"""The casebook: a journal of notes in SQLite, and what was derived from them.  The door to sqlite-utils."""
