"""How people say it: the vocabulary of the reader as tables that an agronomist can edit."""
