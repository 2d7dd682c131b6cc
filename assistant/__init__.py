"""What knows people: their words, the screen, the casebook."""

__version__ = "0.1.0"
