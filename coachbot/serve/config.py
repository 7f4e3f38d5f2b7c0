"""Reads coach.toml: where the coach lives and who is who; every mistake is one sentence that says what to write."""

import re
import tomllib
from pathlib import Path
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

MATRIX_ID = re.compile(r"@[a-z0-9._=/+-]+:[a-z0-9.-]+(?::\d+)?")
"""A user id of today's grammar; the specification, "User identifiers"."""
LAST_HOUR = 23.75
"""The last quarter hour of a day: news is sent at quarters."""


class ConfigError(Exception):
    """The settings cannot be used; the message has a line for each mistake."""


def _matrix_id(text: str) -> str:
    if not MATRIX_ID.fullmatch(text):
        raise ValueError(f'"{text}" is no Matrix id. Write it like @lee:clinic.example, in small letters')
    return text


def _zone(text: str) -> str:
    try:
        ZoneInfo(text)
    except (ValueError, OSError, KeyError):
        raise ValueError(f'"{text}" is no time zone. Write it like Europe/Berlin') from None
    return text


def _address(text: str) -> str:
    if not re.match(r"https?://[^\s/]", text):
        raise ValueError(f'"{text}" is no address. Write it like https://matrix.clinic.example')
    return text.rstrip("/")


MatrixId = Annotated[str, AfterValidator(_matrix_id)]


class Config(BaseModel):
    """All settings. `clinicians` stand in the order in which alerts go out; paths count from the file's own folder."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    homeserver: Annotated[str, AfterValidator(_address)]
    user: MatrixId
    clinicians: Annotated[tuple[MatrixId, ...], Field(min_length=1)]
    zone: Annotated[str, AfterValidator(_zone)]
    store: Path = Path("coach.sqlite")
    login: Path = Path("login")
    owner: MatrixId | None = None
    staff: tuple[MatrixId, ...] = ()
    name: str = "Coach"
    clinicians_room: str = "Clinicians"
    team_room: str = ""
    digest_hour: Annotated[float, Field(ge=0, le=LAST_HOUR)] | None = None
    taps: bool = False
    meaning: bool = False

    @model_validator(mode="after")
    def _everybody_once(self) -> "Config":
        everybody = [self.user, *self.clinicians, *self.staff, *([self.owner] if self.owner else [])]
        twice = sorted({each for each in everybody if everybody.count(each) > 1})
        if twice:
            raise ValueError(f"{twice[0]} stands in two places. Everybody has one part only")
        return self


NEEDED = {
    "homeserver": 'homeserver = "https://matrix.clinic.example"',
    "user": 'user = "@coach:clinic.example"',
    "clinicians": 'clinicians = ["@lee:clinic.example"]',
    "zone": 'zone = "Europe/Berlin"',
}
"""What must be there, with an example."""


def load(path: Path) -> Config:
    """The settings in the file. Raises ConfigError with a sentence for each mistake."""
    try:
        raw = tomllib.loads(path.read_text("utf-8"))
    except OSError as error:
        raise ConfigError(f"{path} cannot be read: {error.strerror}. The README shows how to write it.") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise ConfigError(f"{path} is no TOML: {error}. The README shows how to write it.") from error
    try:
        config = Config(**raw)
    except ValidationError as error:
        raise ConfigError("\n".join(f"{path}: {_sentence(each)}" for each in error.errors())) from None
    here = path.resolve().parent
    return config.model_copy(update={"store": here / config.store, "login": here / config.login})


def _sentence(error: Any) -> str:
    name = str(error["loc"][0]) if error["loc"] else ""
    match error["type"]:
        case "missing":
            return f"{name} is missing. Write a line like: {NEEDED[name]}"
        case "extra_forbidden":
            return f"{name} is no setting. Known are: {', '.join(Config.model_fields)}."
        case "too_short":
            return f"{name} is empty. Write a line like: {NEEDED[name]}"
        case "value_error":
            said = str(error["msg"]).removeprefix("Value error, ")
            return f"{name}: {said}." if name else f"{said}."
        case _:
            return f"{name}: {error['msg']}."
