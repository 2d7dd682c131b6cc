"""``python -m assistant`` is ``earleaf``."""

from assistant.cli import main

main()
