"""A real Synapse on this machine alone; run as a program it keeps one alive while any test run uses it."""

import base64
import fcntl
import hashlib
import hmac
import json
import os
import secrets
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

SECRET = "only for tests on this machine"
NAME = "test"
STARTED_WITHIN = 60.0
MEMORY = Path("/dev/shm")  # where there is one: writing to a disk is half of what the homeserver would do
LIMITS = (
    "rc_message",
    "rc_registration",
    "rc_admin_redaction",
    "rc_room_creation",
    "rc_key_requests",
    "rc_delayed_event_mgmt",
)
FAST = {"per_second": 10_000, "burst_count": 10_000}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def write_config(folder: Path, port: int) -> Path:
    """The settings of a homeserver that talks to nobody, limits nobody, and keeps to one folder."""
    folder.mkdir(parents=True, exist_ok=True)
    key = base64.b64encode(secrets.token_bytes(32)).decode().rstrip("=")
    (folder / "signing.key").write_text(f"ed25519 a_test {key}\n", encoding="utf-8")
    log = {
        "version": 1,
        "handlers": {"file": {"class": "logging.FileHandler", "filename": str(folder / "log")}},
    }
    (folder / "log.json").write_text(json.dumps({**log, "root": {"level": "WARNING", "handlers": ["file"]}}))
    listener = {
        "port": port,
        "type": "http",
        "bind_addresses": ["127.0.0.1"],
        "resources": [{"names": ["client", "media"]}],
    }
    config = {
        "server_name": NAME,
        "listeners": [listener],
        "database": {"name": "sqlite3", "args": {"database": str(folder / "homeserver.db")}},
        "report_stats": False,
        "pid_file": str(folder / "pid"),
        "signing_key_path": str(folder / "signing.key"),
        "media_store_path": str(folder / "media"),
        "log_config": str(folder / "log.json"),
        "registration_shared_secret": SECRET,
        "macaroon_secret_key": SECRET,
        "form_secret": SECRET,
        "bcrypt_rounds": 4,
        "trusted_key_servers": [],
        "federation_domain_whitelist": [],
        "url_preview_enabled": False,
        "presence": {"enabled": False},
        "push": {"enabled": False},
        "stats": {"enabled": False},
        "send_federation": False,
        "update_user_directory_from_worker": "nobody",
        "caches": {"sync_response_cache_duration": "0s"},  # else an identical sync gets an old answer
        **dict.fromkeys(LIMITS, FAST),
        "rc_login": dict.fromkeys(("address", "account", "failed_attempts"), FAST),
        "rc_joins": {"local": FAST, "remote": FAST},
        "rc_joins_per_room": FAST,
        "rc_invites": dict.fromkeys(("per_room", "per_user", "per_issuer"), FAST),
    }
    path = folder / "homeserver.yaml"
    path.write_text(json.dumps(config), encoding="utf-8")
    return path


def answers(url: str) -> bool:
    try:
        with urllib.request.urlopen(f"{url}/_matrix/client/versions", timeout=2) as response:
            return bool(response.status == 200)
    except (urllib.error.URLError, OSError):
        return False


class Homeserver:
    """One Synapse: started, killed and started again by the test that owns it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self._config = write_config(folder, self.port)
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> "Homeserver":
        plain = {name: value for name, value in os.environ.items() if not name.lower().endswith("_proxy")}
        command = [sys.executable, "-m", "synapse.app.homeserver", "-c", str(self._config)]
        with (self.folder / "output").open("ab") as output:
            self._process = subprocess.Popen(command, env=plain, stdout=output, stderr=output, cwd=self.folder)
        end = time.monotonic() + STARTED_WITHIN
        while not answers(self.url):
            if self._process.poll() is not None or time.monotonic() > end:
                self.kill()
                raise RuntimeError((self.folder / "output").read_text(errors="replace")[-2000:])
            time.sleep(0.1)
        return self

    def kill(self) -> None:
        """Kill it the hard way, as a power cut would."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            self._process = None


def register(url: str, user: str, password: str, *, admin: bool = False) -> str:
    """Make a user through the admin registration endpoint; its Matrix id."""
    endpoint = f"{url}/_synapse/admin/v1/register"
    with urllib.request.urlopen(endpoint, timeout=10) as response:
        nonce = json.load(response)["nonce"]
    parts = (nonce, user, password, "admin" if admin else "notadmin")
    mac = hmac.new(SECRET.encode(), b"\x00".join(part.encode() for part in parts), hashlib.sha1).hexdigest()
    body = {"nonce": nonce, "username": user, "password": password, "admin": admin, "mac": mac}
    request = urllib.request.Request(endpoint, json.dumps(body).encode(), {"Content-Type": "application/json"})
    with urllib.request.urlopen(request, timeout=10) as response:
        return str(json.load(response)["user_id"])


def shared(folder: Path) -> str:
    """The address of the one homeserver of this test run, started by whichever process needs it first.

    Every process that uses it holds a shared lock until it ends, however it ends; the keeper waits to hold it
    alone, then stops the homeserver and clears up.
    """
    folder.mkdir(parents=True, exist_ok=True)
    users = (folder / "users").open("w")
    fcntl.flock(users, fcntl.LOCK_SH)
    _held.append(users)
    with (folder / "start").open("w") as starting:
        fcntl.flock(starting, fcntl.LOCK_EX)
        address = folder / "address"
        if not address.exists():
            _held.append(subprocess.Popen([sys.executable, __file__, str(folder)], start_new_session=True))
            end = time.monotonic() + STARTED_WITHIN
            while not address.exists():
                if time.monotonic() > end:
                    raise RuntimeError("the homeserver did not start")
                time.sleep(0.1)
        return address.read_text(encoding="utf-8")


def keep(folder: Path) -> None:
    """Run one homeserver until no test process holds the lock any more."""
    place = Path(tempfile.mkdtemp(prefix="homeserver-", dir=MEMORY if MEMORY.is_dir() else folder))
    server = Homeserver(place)
    try:
        server.start()
        fresh = folder / "address.new"
        fresh.write_text(server.url, encoding="utf-8")
        fresh.replace(folder / "address")
        with (folder / "users").open("w") as users:
            fcntl.flock(users, fcntl.LOCK_EX)
            (folder / "address").unlink(missing_ok=True)
            server.kill()
    finally:  # also when the folder has been cleared away from under it
        server.kill()
        shutil.rmtree(place, ignore_errors=True)


_held: list[object] = []

if __name__ == "__main__":
    keep(Path(sys.argv[1]))
