<<<<<<< Updated upstream
"""Lets the files of this folder import the course beside them and the played case above them."""
=======
"""Lets the files of this folder import the case above them, and the judge that follows it."""
>>>>>>> Stashed changes

import sys
from pathlib import Path

<<<<<<< Updated upstream
sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]
=======
TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS / folder) for folder in ("rules", "safety", "")]
>>>>>>> Stashed changes
