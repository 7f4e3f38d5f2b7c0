"""The sums load no heavy library: the daily chat must not wait for one."""

import subprocess
import sys
from pathlib import Path

from coachbot.core import sums

HEAVY = ("scipy", "numpy", "pandas", "lifelines")


def test_sums_load_nothing_heavy() -> None:
    folder = Path(sums.__file__).parent
    names = ",".join(f"coachbot.core.sums.{path.stem}" for path in folder.glob("*.py") if path.stem != "__init__")
    code = f"import sys,{names}\nprint(*[name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=folder.parents[2], check=True
    )
    assert done.stdout.split() == []
