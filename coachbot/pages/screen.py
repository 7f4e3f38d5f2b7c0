"""One case as a table for a terminal: the same rows that a chat gets as lines; it knows no rule and no case."""

from collections.abc import Sequence
from io import StringIO
from shutil import get_terminal_size

from coachbot.core.desk.views import Row
from coachbot.core.effects import Word
from coachbot.core.speak import Texts, speak


def table(rows: Sequence[Row], texts: Texts) -> str:
    """Two columns, as wide as the terminal; without colours, so that nothing in it can steer the screen."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    grid = Table(show_header=False)
    for row in rows:
        value = speak([Word("case.value", {"value": row.value})], texts)
        grid.add_row(Text(speak([row.label], texts)), Text(value))
    drawn = StringIO()
    Console(file=drawn, width=get_terminal_size().columns, color_system=None).print(grid)
    return drawn.getvalue().rstrip("\n")
