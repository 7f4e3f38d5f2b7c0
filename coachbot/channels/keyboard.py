"""The line that is being typed, with prompt-toolkit; it shows nothing that could steer the screen."""

from collections.abc import AsyncIterator

from prompt_toolkit import PromptSession
from prompt_toolkit.layout.processors import Processor, Transformation, TransformationInput
from prompt_toolkit.patch_stdout import patch_stdout

from coachbot.channels.terminal import steers

SHOWN_FOR_HIDDEN = "?"


class _Harmless(Processor):
    """Shows a sign for each character that would steer the screen; what was typed stays as it is."""

    def apply_transformation(self, transformation_input: TransformationInput) -> Transformation:
        shown = [(style, _harmless(text), *more) for style, text, *more in transformation_input.fragments]
        return Transformation(shown)  # type: ignore[arg-type]  # a fragment may carry a mouse handler, kept as it is


def _harmless(text: str) -> str:
    return "".join(SHOWN_FOR_HIDDEN if steers(char) else char for char in text)


async def lines(prompt: str) -> AsyncIterator[str]:
    """Each line that was typed, until Ctrl-D or Ctrl-C."""
    session: PromptSession[str] = PromptSession(prompt, input_processors=[_Harmless()])
    with patch_stdout():
        while True:
            try:
                yield await session.prompt_async()
            except (EOFError, KeyboardInterrupt):
                return
