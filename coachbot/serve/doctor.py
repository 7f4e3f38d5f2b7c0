"""Looks at everything the coach needs in Matrix and says what is wrong and what to do; it changes nothing."""

import json
import stat
from collections.abc import AsyncIterator, Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from typing import Any

from aiohttp import ClientError, ClientSession, ClientTimeout

from coachbot.channels.matrix.answers import OK
from coachbot.channels.matrix.credentials import LOGIN_FILE, Login, LoginNeeded, load
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.journal import Journal, JournalError
from coachbot.serve.config import Config

WAIT = ClientTimeout(total=10.0)
APART = timedelta(minutes=2)
"""Further apart than this, the clocks of homeserver and machine make check-ins come at the wrong time."""
OTHERS = stat.S_IRWXG | stat.S_IRWXO


@dataclass(frozen=True)
class Finding:
    """What was looked at, whether it is well, and what to do when it is not."""

    what: str
    well: bool
    said: str

    def __str__(self) -> str:
        return f"{'ok  ' if self.well else 'FIX '} {self.what}: {self.said}"


async def examine(config: Config, clock: Callable[[], datetime]) -> list[Finding]:
    """Everything in the order in which it has to work; what needs something broken is left out."""
    findings = [Finding("settings", True, f"{len(config.clinicians)} on the on-call list, zone {config.zone}.")]
    findings += [*_database(config), *_taps(config)]
    async with ClientSession(timeout=WAIT) as session:
        server = await _server(config, session, clock)
        findings += server
        if server[0].well:
            findings += [finding async for finding in _account(config, session)]
    return findings


# ---- on this machine ---------------------------------------------------------------------------------------------


def _database(config: Config) -> Iterator[Finding]:
    if not config.store.exists():
        yield Finding("database", config.store.parent.is_dir(), f"{config.store} is made at the first start.")
        return
    if config.store.stat().st_mode & OTHERS:
        yield Finding("database", False, f"others can read {config.store}. Run: chmod 600 {config.store}")
    try:
        journal = Journal.open(config.store)
    except JournalError as error:
        yield Finding("database", False, str(error))
        return
    wrong = journal.verify()
    unsaid = len(journal.unsent([*(person.id for person in journal.people()), CLINICIANS, TEAM]))
    journal.close()
    yield Finding("database", not wrong, " ".join(wrong) or f"every fact stands as it was written, {unsaid} unsaid.")


def _taps(config: Config) -> Iterator[Finding]:
    if not config.taps:
        yield Finding("taps", True, "off: pain scores are never seen by the homeserver.")
    else:
        said = "on: a reaction is never encrypted, so the homeserver sees each score. Only for a homeserver of yours."
        yield Finding("taps", True, said)


# ---- the homeserver ----------------------------------------------------------------------------------------------


async def _server(config: Config, session: ClientSession, clock: Callable[[], datetime]) -> list[Finding]:
    url = f"{config.homeserver}/_matrix/client/versions"
    try:
        async with session.get(url) as response:
            answer = await response.json(content_type=None)
            date = response.headers.get("Date")
    except (ClientError, OSError, TimeoutError, json.JSONDecodeError) as error:
        said = f"{config.homeserver} does not answer ({type(error).__name__}). Check the address and that it runs."
        return [Finding("homeserver", False, said)]
    if not isinstance(answer, dict) or "versions" not in answer:
        return [Finding("homeserver", False, f"{config.homeserver} is no Matrix homeserver. Check the address.")]
    return [Finding("homeserver", True, f"{config.homeserver} answers."), *_clock(date, clock())]


def _clock(date: str | None, now: datetime) -> Iterator[Finding]:
    if date is None:
        return
    apart = abs(now - parsedate_to_datetime(date).astimezone(UTC))
    said = f"this machine and the homeserver are {apart.total_seconds():.0f} s apart."
    yield Finding("clock", apart <= APART, said if apart <= APART else f"{said} Set both by a time server.")


@dataclass(frozen=True)
class _Asked:
    """Requests with the coach's token."""

    session: ClientSession
    login: Login

    async def get(self, path: str) -> tuple[int, dict[str, Any]]:
        headers = {"Authorization": f"Bearer {self.login.token}"}
        url = f"{self.login.homeserver}/_matrix/client/v3/{path}"
        async with self.session.get(url, headers=headers) as response:
            answer = await response.json(content_type=None)
            return response.status, answer if isinstance(answer, dict) else {}

    async def post(self, path: str, body: dict[str, Any]) -> dict[str, Any]:
        headers = {"Authorization": f"Bearer {self.login.token}"}
        url = f"{self.login.homeserver}/_matrix/client/v3/{path}"
        async with self.session.post(url, headers=headers, json=body) as response:
            answer = await response.json(content_type=None)
            return answer if isinstance(answer, dict) else {}


async def _account(config: Config, session: ClientSession) -> AsyncIterator[Finding]:
    try:
        login = load(config.login)
    except (LoginNeeded, OSError, ValueError, TypeError) as error:
        yield Finding("login", False, f"{error} Run: coachbot login")
        return
    asked = _Asked(session, login)
    status, answer = await asked.get("account/whoami")
    if status != OK:
        said = f"the homeserver does not accept the login ({answer.get('errcode')}). Run: coachbot login"
        yield Finding("login", False, said)
        return
    yield _login(config, str(answer.get("user_id")))
    yield await _encryption(config, asked)
    async for finding in _rooms(config, asked):
        yield finding


def _login(config: Config, user: str) -> Finding:
    file = config.login / LOGIN_FILE
    if user != config.user:
        return Finding("login", False, f"it is {user}, the settings say {config.user}. Run: coachbot login")
    if file.stat().st_mode & OTHERS:
        return Finding("login", False, f"others can read {file}. Run: chmod 600 {file}")
    return Finding("login", True, f"logged in as {user}.")


async def _encryption(config: Config, asked: _Asked) -> Finding:
    login = asked.login
    store = config.login / "keys" / f"{login.user_id}_{login.device_id}.db"
    if not store.exists():
        return Finding("encryption", False, "the keys of the coach's device are gone. Run: coachbot login")
    known = await asked.post("keys/query", {"device_keys": {login.user_id: [login.device_id]}})
    device = known.get("device_keys", {}).get(login.user_id, {}).get(login.device_id)
    if device is None:
        return Finding("encryption", False, "the homeserver has no keys of the coach. Start it once: coachbot serve")
    if login.user_id not in known.get("master_keys", {}):
        return Finding("encryption", False, "the device is not signed by its account. Run: coachbot login")
    return Finding("encryption", True, "the coach's device has its keys and is signed by its account.")


async def _rooms(config: Config, asked: _Asked) -> AsyncIterator[Finding]:
    if not config.store.exists():
        return
    journal = Journal.open(config.store)
    athletes = [person.address for person in journal.people("athlete") if person.address]
    keys = [*config.clinicians, CLINICIANS, *([TEAM] if config.team_room else []), *athletes]
    rooms = {key: journal.kept(f"matrix room {key}") for key in keys}
    journal.close()
    for key, room in rooms.items():
        yield await _room(config, asked, key, room)


async def _room(config: Config, asked: _Asked, key: str, room: str | None) -> Finding:
    what = f"room of {key}"
    if room is None:
        return Finding(what, False, "there is none. Start the coach once; check that this Matrix id exists.")
    status, answer = await asked.get(f"rooms/{room}/joined_members")
    if status != OK:
        return Finding(what, False, "the coach is not in it any more. Start the coach: it makes a new one.")
    members = set(answer.get("joined", {})) - {asked.login.user_id}
    may = set(config.clinicians) if key == CLINICIANS else {key}
    if key != TEAM and members - may:
        who = ", ".join(sorted(members - may))
        return Finding(what, False, f"{who} may not hear what is said there. Put them out of the room.")
    status, _ = await asked.get(f"rooms/{room}/state/m.room.encryption/")
    if status != OK:
        return Finding(what, False, "it is not encrypted. Turn encryption on in its settings.")
    if not members:
        return Finding(what, False, "nobody has come yet. Ask them to accept the invitation.")
    return Finding(what, True, f"encrypted, {len(members)} in it beside the coach.")
