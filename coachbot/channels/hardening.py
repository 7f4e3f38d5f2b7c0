"""A matrix-nio client without the weak spots of version 0.26; it closes those and does nothing else.

Each rule is one method with the trap it closes in its first line; tests/matrix has a test for each that also
shows the trap without the rule. What the coach wants to say or hear is not known here.
"""

import asyncio
import json
import logging
import time
from collections.abc import Mapping
from dataclasses import replace
from typing import Any
from urllib.parse import quote

from nio import (
    Api,
    AsyncClient,
    AsyncClientConfig,
    EncryptionError,
    ErrorResponse,
    GroupEncryptionError,
    KeysClaimResponse,
    KeysQueryResponse,
    KeysUploadResponse,
    LocalProtocolError,
    MegolmEvent,
    SyncResponse,
    UnknownBadEvent,
)
from nio.crypto import Olm
from nio.store import SqliteStore

from coachbot.channels.matrix.answers import BAD_REQUEST, OK, Later, checked, refusal

log = logging.getLogger(__name__)

REQUEST_SECONDS = 40.0  # one request, a long poll of 25 s included: nothing may wait for ever
CLAIM_AGAIN_SECONDS = 60.0  # a device without keys is asked for again after this long
FALLBACK_SECONDS = 3600.0  # a new fallback key replaces the one before last, so not more often than this
NEVER = float("-inf")
TO_DEVICE_PAGE = 100  # to-device messages a sync carries at most (Synapse); a full page: more are waiting


class Careful(Olm):  # type: ignore[misc]
    """The library's encryption machine; nothing a stranger sends may stop what came with it."""

    def handle_to_device_event(self, event: Any) -> Any:
        """Trap: a coach killed between keeping a message's ratchet and its room key has lost the key."""
        with self.store.database.atomic():
            return self.survive(event)

    def survive(self, event: Any) -> Any:
        """Trap: one malformed to-device message makes a sync raise, and the room keys beside it are lost."""
        try:
            return super().handle_to_device_event(event)
        except Exception as trouble:  # whatever the library trips over: the words of strangers decide which
            log.warning("Dropped a malformed %s from %s: %s", type(event).__name__, event.sender, type(trouble))
            if hasattr(event, "sender_key"):  # an honest device with a lost session is offered a new one
                self._mark_device_for_unwedging(event.sender, event.sender_key)
            return None

    def _decrypt_megolm_no_error(self, event: MegolmEvent, room_id: str | None = None) -> Any:
        """Trap: encrypted nonsense that is no event makes every sync raise, or arrives without a sender."""
        try:
            plain = super()._decrypt_megolm_no_error(event, room_id)
        except Exception as trouble:
            log.warning("A message of %s is malformed: %s", event.sender, type(trouble).__name__)
            plain = UnknownBadEvent({})
        if isinstance(plain, UnknownBadEvent):
            origin = {key: event.source.get(key) for key in ("event_id", "sender", "origin_server_ts")}
            plain.source = {"type": "m.room.message", "content": {}, **origin}
        return plain

    def unseal(self, event: Any, room: str) -> Any:
        """The decrypted event, or None while its key is missing.

        Trap: the library cannot do without the two fields that the specification (1.3) has deprecated.
        """
        content = event.source["content"]
        owners = self.inbound_group_store[room].items()
        owner = next((key for key, sessions in owners if content.get("session_id") in sessions), None)
        if owner is None:
            return None
        filled = {"device_id": "", **content, "sender_key": owner}
        whole = MegolmEvent.from_dict({**event.source, "content": filled, "room_id": room})
        return self._decrypt_megolm_no_error(whole) if isinstance(whole, MegolmEvent) else None

    def _handle_key_query(self, response: KeysQueryResponse) -> None:
        """Trap: one person's malformed device list would hide the devices of everybody else in the answer."""
        changed: dict[str, Any] = {}
        for user, devices in response.device_keys.items():
            part = replace(response, device_keys={user: devices})
            try:
                super()._handle_key_query(part)
                changed.update(part.changed or {})
            except Exception as trouble:
                log.warning("The device list of %s is malformed: %s", user, type(trouble).__name__)
        response.changed = changed

    def _handle_key_claiming(self, response: KeysClaimResponse) -> None:
        """Trap: one person's malformed one-time key would keep the others in the answer without a session."""
        for user, devices in response.one_time_keys.items():
            for device, keys in devices.items():
                try:
                    super()._handle_key_claiming(replace(response, one_time_keys={user: {device: keys}}))
                except Exception as trouble:
                    log.warning("The key of %s, %s is malformed: %s", user, device, type(trouble).__name__)


class Hardened(AsyncClient):  # type: ignore[misc]
    """The library's client; it asks once and says what came of it (`answers.steadily` asks again)."""

    claim_again = CLAIM_AGAIN_SECONDS
    fallback_every = FALLBACK_SECONDS

    def __init__(self, homeserver: str, user: str, store: str, pickle_key: str) -> None:
        config = AsyncClientConfig(
            max_limit_exceeded=0,
            max_timeouts=0,
            request_timeout=REQUEST_SECONDS,
            store=SqliteStore,
            store_sync_tokens=False,  # trap: the library saves its place before the batch has been taken
            encryption_enabled=True,
            pickle_key=pickle_key,
        )
        super().__init__(homeserver, user, store_path=store, config=config)
        self._claimed: dict[str, float] = {}
        self._fallback_wanted = False
        self._fallback_at = NEVER
        self._query = asyncio.Lock()

    def load_store(self) -> None:
        """Put the careful machine in the place of the library's."""
        super().load_store()
        if self.store is not None and not isinstance(self.olm, Careful):
            self.olm: Any = Careful(self.user_id, self.device_id, self.store)

    # One request

    async def send(
        self,
        method: str,
        path: str,
        data: Any = None,
        headers: Any = None,
        trace_context: Any = None,
        timeout: Any = None,
    ) -> Any:
        """Trap: some requests of the library (the first sync, uploads) have no time limit at all."""
        return await super().send(method, path, data, headers, trace_context, timeout or self.config.request_timeout)

    async def ask(self, method: str, *path: str, body: Any = None, query: str = "") -> tuple[int, dict[str, Any]]:
        """One plain client-server request the library has no call for: the HTTP status and the answer."""
        url = "/_matrix/" + "/".join(quote(part, safe="") for part in path) + query
        headers = {"Authorization": f"Bearer {self.access_token}", "Content-Type": "application/json"}
        response = await self.send(method, url, None if body is None else json.dumps(body), headers)
        answer = await self.parse_body(response)
        return response.status, answer if isinstance(answer, dict) else {}

    async def call(self, method: str, *path: str, body: Any = None, query: str = "") -> dict[str, Any]:
        """The same, the answer alone. Raises `Refused`, `LoginGone` or `Later`."""
        status, answer = await self.ask(method, *path, body=body, query=query)
        if status != OK:
            raise refusal(status, answer)
        return answer

    # Our own keys on the homeserver

    async def create_matrix_response(
        self, response_class: Any, transport_response: Any, *rest: Any, **more: Any
    ) -> Any:
        """Trap: a proxy's error page counts as success for every request whose good answer is empty."""
        response = await super().create_matrix_response(response_class, transport_response, *rest, **more)
        if transport_response.status >= BAD_REQUEST and not isinstance(response, ErrorResponse):
            response = ErrorResponse("an answer that is not of Matrix")
            response.transport_response = transport_response
        if isinstance(response, SyncResponse):
            self.note_fallback_key(response, await self.parse_body(transport_response))
        return response

    def note_fallback_key(self, response: SyncResponse, answer: Mapping[str, Any]) -> None:
        """Trap: the library does not read whether an unused fallback key is left."""
        unused = answer.get("device_unused_fallback_key_types")
        drained = len(response.to_device_events) < TO_DEVICE_PAGE  # else older keys are still in use
        rested = time.monotonic() - self._fallback_at > self.fallback_every
        self._fallback_wanted = unused is not None and "signed_curve25519" not in unused and drained and rested

    def _handle_olm_events(self, response: SyncResponse) -> None:
        """Trap: a count of 0 one-time keys is taken for no count, and keys are never uploaded again."""
        super()._handle_olm_events(response)
        if response.device_key_count.signed_curve25519 == 0:
            self.olm.uploaded_key_count = 0

    @property
    def should_upload_keys(self) -> bool:
        """Also when a fallback key is wanted."""
        return bool(super().should_upload_keys or self._fallback_wanted)

    async def keys_upload(self) -> Any:
        """Trap: without a fallback key the 51st new device while the coach is down can never reach it.

        Everything is saved before it is uploaded: a key handed out and lost by us is a lost message.
        """
        keys = self.olm.share_keys() if super().should_upload_keys else {}
        if self._fallback_wanted:
            keys["fallback_keys"] = self._new_fallback_key()
        self.olm.save_account()
        response = await self._send(KeysUploadResponse, *Api.keys_upload(self.access_token, keys))
        if isinstance(response, KeysUploadResponse) and "fallback_keys" in keys:
            self._fallback_wanted, self._fallback_at = False, time.monotonic()
        return response

    def _new_fallback_key(self) -> dict[str, Any]:
        account = self.olm.account._account
        account.generate_fallback_key()
        signed = {}
        for key_id, key in account.fallback_key.items():
            entry: dict[str, Any] = {"key": key.to_base64(), "fallback": True}
            signature = self.olm.sign_json(entry)
            signed[f"signed_curve25519:{key_id}"] = {
                **entry,
                "signatures": {self.user_id: {f"ed25519:{self.device_id}": signature}},
            }
        return signed

    # Keys for the people in a room

    async def keys_claim(self, user_set: dict[str, Any]) -> Any:
        """Trap: an error as the answer, be it that there are too many requests, makes the library stumble."""
        request = Api.keys_claim(self.access_token, user_set)
        return await self._send(KeysClaimResponse, *request, response_data=("",))  # the room that an error names

    async def room_send(self, room_id: str, *rest: Any, **more: Any) -> Any:
        """Send as the library does, but with the room's keys made current first, or raise `Later`."""
        if room_id in self.rooms and self.rooms[room_id].encrypted:
            await self.current_devices()
            await self.late_sessions(room_id)
        try:
            return await super().room_send(room_id, *rest, **more)
        except (LocalProtocolError, EncryptionError, GroupEncryptionError) as trouble:  # changed meanwhile
            raise Later(f"A room is not ready to be spoken in ({type(trouble).__name__}).") from trouble

    async def current_devices(self) -> None:
        """Trap: a new device is served only once its keys were queried, and the library does it later."""
        async with self._query:
            if self.should_query_keys:
                checked(await self.keys_query())

    async def late_sessions(self, room_id: str) -> None:
        """Trap: a device that had no one-time keys misses everything until the room's key changes."""
        now = time.monotonic()
        missing = self.get_missing_sessions(room_id)
        due = {
            user: [
                device for device in devices if now - self._claimed.get(f"{user} {device}", NEVER) >= self.claim_again
            ]
            for user, devices in missing.items()
        }
        due = {user: devices for user, devices in due.items() if devices}
        if not due:
            return
        checked(await self.keys_claim(due))
        self._claimed.update({f"{user} {device}": now for user, devices in due.items() for device in devices})
        outbound = self.olm.outbound_group_sessions.get(room_id)
        if outbound is not None and self.get_missing_sessions(room_id) != missing:
            outbound.shared = False  # share it again: those who have it are left out

    async def share_group_session(self, room_id: str, ignore_unverified_devices: bool = True) -> Any:
        """Two traps: a share broken off blocks the room for ever, and a failed one counts as shared."""
        room = self.rooms[room_id]
        if not room.members_synced:
            checked(await self.joined_members(room_id))
            await self.current_devices()
        try:
            response = await super().share_group_session(room_id, ignore_unverified_devices)
            self.verify_share(room_id)
        except KeyError as gone:  # somebody came or went meanwhile, and the key with them
            raise Later("The key of a room changed while it was being shared.") from gone
        finally:
            self.release(room_id)
        return response

    def release(self, room_id: str) -> None:
        """Let the next send into the room go ahead, whatever became of the last one."""
        waiting = self.sharing_session.pop(room_id, None)
        if waiting is not None:
            waiting.set()

    def verify_share(self, room_id: str) -> None:
        """Raise `Later` unless every device we can reach has the room's key; the next try serves the rest."""
        unserved = self.unserved(room_id)
        if unserved:
            self.olm.outbound_group_sessions[room_id].shared = False
            raise Later(f"The key of a room has not reached {len(unserved)} of its devices yet.")

    def unserved(self, room_id: str) -> frozenset[tuple[str, str]]:
        """The devices, as (user, device), that have a session with us and were not given the room's key."""
        session = self.olm.outbound_group_sessions[room_id]
        served = session.users_shared_with | session.users_ignored
        devices = (
            device for user in self.rooms[room_id].users for device in self.olm.device_store.active_user_devices(user)
        )
        return frozenset(
            (device.user_id, device.id)
            for device in devices
            if self.olm.session_store.get(device.curve25519) and (device.user_id, device.id) not in served
        )

    def unreachable(self, room_id: str) -> frozenset[str]:
        """The people in the room none of whose devices can read what we send there now."""
        return frozenset(
            user
            for user in self.rooms[room_id].users
            if user != self.user_id
            and not any(
                self.olm.session_store.get(device.curve25519)
                for device in self.olm.device_store.active_user_devices(user)
            )
        )


def quiet() -> None:
    """Trap: the library logs malformed events, which are people's words, and its database logs keys."""
    for name in ("nio", "peewee"):
        logging.getLogger(name).setLevel(logging.CRITICAL)
