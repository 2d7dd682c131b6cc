"""Arithmetic of corn as pure functions, with units; the figures stand in the knowledge tables."""
