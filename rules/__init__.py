"""What knows corn: it never sees text, a terminal, a clock or a file it did not ship with."""
