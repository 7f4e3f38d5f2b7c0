"""Looks at everything the coach needs on its homeserver, and says what is wrong and what to do; it changes nothing."""

import json
from collections.abc import AsyncIterator, Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from typing import Any

from aiohttp import ClientError, ClientSession, ClientTimeout

from coachbot.channels.matrix.answers import OK
from coachbot.channels.matrix.credentials import LOGIN_FILE, Login, LoginNeeded, load
from coachbot.core.effects import CLINICIANS, TEAM
from coachbot.journal import Journal
from coachbot.serve import checkup
from coachbot.serve.checkup import Finding, private
from coachbot.serve.config import Config

WAIT = ClientTimeout(total=10.0)
APART = timedelta(minutes=2)
"""Further apart than this, the clocks of homeserver and machine make check-ins come at the wrong time."""
AGAIN = "Run: coachbot login"


async def examine(config: Config, clock: Callable[[], datetime]) -> list[Finding]:
    """Everything in the order in which it has to work; what needs something broken is left out."""
    findings = checkup.examine(config)
    async with ClientSession(timeout=WAIT) as session:
        server = await _server(config, session, clock)
        findings += server
        if server[0].well:
            findings += [finding async for finding in _account(config, session)]
    return findings


# ---- the homeserver ----------------------------------------------------------------------------------------------


async def _server(config: Config, session: ClientSession, clock: Callable[[], datetime]) -> list[Finding]:
    url = f"{config.homeserver}/_matrix/client/versions"
    try:
        async with session.get(url) as response:
            answer = await response.json(content_type=None)
            date = response.headers.get("Date")
    except (ClientError, OSError, TimeoutError, json.JSONDecodeError) as error:
        seen = f"{config.homeserver} does not answer ({type(error).__name__})."
        return [Finding("homeserver", seen, "Check the address and that it runs.")]
    if not isinstance(answer, dict) or "versions" not in answer:
        return [Finding("homeserver", f"{config.homeserver} is no Matrix homeserver.", "Check the address.")]
    return [Finding("homeserver", f"{config.homeserver} answers."), *_clock(date, clock())]


def _clock(date: str | None, now: datetime) -> Iterator[Finding]:
    if date is None:
        return
    apart = abs(now - parsedate_to_datetime(date).astimezone(UTC))
    todo = "" if apart <= APART else "Set both by a time server."
    yield Finding("clock", f"this machine and the homeserver are {apart.total_seconds():.0f} s apart.", todo)


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
        yield Finding("login", str(error), AGAIN)
        return
    asked = _Asked(session, login)
    status, answer = await asked.get("account/whoami")
    if status != OK:
        yield Finding("login", f"the homeserver does not accept the login ({answer.get('errcode')}).", AGAIN)
        return
    for finding in _login(config, str(answer.get("user_id"))):
        yield finding
    yield await _encryption(config, asked)
    async for finding in _rooms(config, asked):
        yield finding


def _login(config: Config, user: str) -> Iterator[Finding]:
    if user != config.user:
        yield Finding("login", f"it is {user}, the settings say {config.user}.", AGAIN)
        return
    yield Finding("login", f"logged in as {user}.")
    yield from private("login", config.login / LOGIN_FILE)


async def _encryption(config: Config, asked: _Asked) -> Finding:
    login = asked.login
    store = config.login / "keys" / f"{login.user_id}_{login.device_id}.db"
    if not store.exists():
        return Finding("encryption", "the keys of the coach's device are gone.", AGAIN)
    known = await asked.post("keys/query", {"device_keys": {login.user_id: [login.device_id]}})
    device = known.get("device_keys", {}).get(login.user_id, {}).get(login.device_id)
    if device is None:
        return Finding("encryption", "the homeserver has no keys of the coach.", "Start it once: coachbot serve")
    if login.user_id not in known.get("master_keys", {}):
        return Finding("encryption", "the device is not signed by its account.", AGAIN)
    return Finding("encryption", "the coach's device has its keys and is signed by its account.")


# ---- the rooms ---------------------------------------------------------------------------------------------------


async def _rooms(config: Config, asked: _Asked) -> AsyncIterator[Finding]:
    if not config.store.exists():
        return
    journal = Journal.open(config.store)
    athletes = [person.address for person in journal.people("athlete") if person.address]
    owner = [config.owner] if config.owner else []
    keys = [*config.clinicians, *owner, CLINICIANS, *([TEAM] if config.team_room else []), *athletes]
    rooms = {key: journal.kept(f"matrix room {key}") for key in keys}
    journal.close()
    may = {CLINICIANS: {*config.clinicians}, TEAM: {*config.clinicians, *config.staff, *owner, *athletes}}
    for key, room in rooms.items():
        yield await _room(asked, key, room, may.get(key, {key}))


async def _room(asked: _Asked, key: str, room: str | None, may: set[str]) -> Finding:
    what = f"room of {key}"
    if room is None:
        return Finding(what, "there is none.", "Start the coach once; check that this Matrix id exists.")
    status, answer = await asked.get(f"rooms/{room}/joined_members")
    if status != OK:
        return Finding(what, "the coach is not in it any more.", "Start the coach: it makes a new one.")
    members = set(answer.get("joined", {})) - {asked.login.user_id}
    if members - may:
        seen = f"{', '.join(sorted(members - may))} may not hear what is said there."
        return Finding(what, seen, "Put them out of the room.")
    status, _ = await asked.get(f"rooms/{room}/state/m.room.encryption/")
    if status != OK:
        return Finding(what, "it is not encrypted.", "Turn encryption on in its settings.")
    if not members:
        return Finding(what, "nobody has come yet.", "Ask them to accept the invitation.")
    return Finding(what, f"encrypted; in it beside the coach: {', '.join(sorted(members))}.")
