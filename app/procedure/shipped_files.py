"""Where the procedures and the chain that come with Dustcap lie."""

from pathlib import Path

FOLDER = Path(__file__).parent / "shipped"
CHAIN = FOLDER / "virtual-bench.toml"
