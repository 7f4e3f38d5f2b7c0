"""Lets the files of this folder import the long run of random messages, of which they do a short one."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))
