"""Lets the files of this folder import the census of keys that stands beside them."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
