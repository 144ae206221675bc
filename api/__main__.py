"""`python -m api` is the `tapewitness` command."""

from __future__ import annotations

from api.cli import main

if __name__ == "__main__":
    main()
