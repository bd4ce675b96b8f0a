"""``python -m procedures_lib`` is the command ``procedures``."""

from __future__ import annotations

from procedures_lib.fronts.cli import main

if __name__ == "__main__":
    main()
