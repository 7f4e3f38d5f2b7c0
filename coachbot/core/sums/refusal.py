"""How a formula says no: one error with a short code a text can be looked up by; it never corrects an input."""


class Refused(ValueError):
    """An input outside what a formula allows: `code` names the broken condition, `got` is the value refused."""

    def __init__(self, code: str, got: object) -> None:
        super().__init__(f"{code}: {got}")
        self.code = code
        self.got = got


def require(holds: bool, code: str, got: object) -> None:
    """Raise `Refused` unless the condition holds. Write conditions so that a not-a-number fails them."""
    if not holds:
        raise Refused(code, got)
