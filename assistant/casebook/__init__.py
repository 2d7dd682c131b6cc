"""The casebook: a journal of notes in SQLite, and what was derived from them.  The door to sqlite-utils.

Nothing is imported here, so that :mod:`assistant.casebook.place` costs no start-up;
:mod:`assistant.casebook.book` holds the one class that the rest of the assistant needs.
"""
