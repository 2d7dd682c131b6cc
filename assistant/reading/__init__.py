"""Words -> facts: the reader and its words."""
