"""``python -m app`` does what ``dustcap`` does."""

import sys

from app.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
