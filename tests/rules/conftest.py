"""Lets the files of this folder import the course beside them, the case above them, and the judge that follows it."""

import sys
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS / folder) for folder in ("rules", "safety", "")]
