"""Whether an event is a plain event of the client-server specification; each flaw as a sentence."""

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

from tests.matrix.other.devices import Json

EVENT_ID = re.compile(r"\$[A-Za-z0-9_-]{43}")  # since room version 4
USER_ID = re.compile(r"@[a-z0-9._=/+-]+:[a-z0-9.:-]+")
CONTENT_URI = re.compile(r"mxc://[a-z0-9.:-]+/[A-Za-z0-9_-]+")
LINK = re.compile(r"https://matrix\.to/#/(@.+)")
LARGEST = 65_536  # bytes of a whole event
TAGS = {"a": {"href"}, "br": set()}
"""The markup the coach may use, all of it among what the specification suggests for clients to let pass."""
TEXT = {"msgtype", "body", "format", "formatted_body", "m.mentions", "m.relates_to"}
IMAGE = {"msgtype", "body", "filename", "file", "info", "m.mentions"}
KEY = {"kty": "oct", "alg": "A256CTR", "ext": True}


def flaws(sent: Json, read: Json) -> list[str]:
    """What is wrong with an event as it was sent and as it reads once opened."""
    found = list(_outside(sent))
    match read["type"]:
        case "m.room.message":
            found += _message(read["content"])
        case "m.reaction":
            found += _reaction(read["content"])
        case other:
            found.append(f"{other} is nothing that a person can read")
    return found


def _outside(sent: Json) -> Iterator[str]:
    if len(json.dumps(sent).encode()) > LARGEST:
        yield "it is too large"
    if sent["type"] == "m.reaction":
        return
    content = sent["content"]
    if sent["type"] != "m.room.encrypted" or content.get("algorithm") != "m.megolm.v1.aes-sha2":
        yield "it is not sealed"
    if not {"algorithm", "ciphertext", "session_id"} <= content.keys():
        yield "a part of the seal is missing"
    if not all(isinstance(value, str) for key, value in content.items() if key != "m.relates_to"):
        yield "a part of the seal is no string"


def _message(content: Json) -> Iterator[str]:
    if not isinstance(content.get("body"), str) or not content["body"].strip():
        yield "it has no words"
        return
    yield from _mentions(content)
    match content.get("msgtype"):
        case "m.text" | "m.notice":
            yield from _known(content, TEXT)
            yield from _formatted(content)
            yield from _relation(content.get("m.relates_to"))
        case "m.image":
            yield from _known(content, IMAGE)
            yield from _image(content)
        case other:
            yield f"{other} is no kind of message that the coach has"


def _known(content: Json, keys: set[str]) -> Iterator[str]:
    if more := content.keys() - keys:
        yield f"the specification has no {sorted(more)} here"


def _mentions(content: Json) -> Iterator[str]:
    mentions = content.get("m.mentions")
    if not isinstance(mentions, dict) or mentions.keys() - {"user_ids"}:
        yield "it does not say whom it mentions"
    elif not all(USER_ID.fullmatch(user) for user in mentions.get("user_ids", [])):
        yield "it mentions nobody that there can be"


def _formatted(content: Json) -> Iterator[str]:
    if ("format" in content) != ("formatted_body" in content):
        yield "format and formatted_body go together"
    if "format" not in content:
        return
    if content["format"] != "org.matrix.custom.html":
        yield "there is no such format"
    shown = Shown(content["formatted_body"])
    yield from shown.flaws
    if shown.text != content["body"]:
        yield "the formatted body says something else"
    mentioned = set(content["m.mentions"].get("user_ids", []))
    if not mentioned <= shown.linked:
        yield "somebody is mentioned whom the words do not link"


def _relation(relation: Any) -> Iterator[str]:
    if relation is None:
        return
    answered = relation.get("m.in_reply_to", {}).get("event_id", "")
    if relation.keys() != {"m.in_reply_to"} or not EVENT_ID.fullmatch(answered):
        yield "it is no reply to anything"


def _image(content: Json) -> Iterator[str]:
    file, info = content["file"], content["info"]
    if "url" in content or not CONTENT_URI.fullmatch(file.get("url", "")):
        yield "the picture is not where sealed pictures are"
    if file.get("v") != "v2" or not KEY.items() <= file["key"].items() or "encrypt" not in file["key"]["key_ops"]:
        yield "the picture's key is none"
    if "=" in file["iv"] + file["hashes"]["sha256"] + file["key"]["k"]:
        yield "Matrix writes Base64 without padding"
    if info["mimetype"] != "image/png" or not all(isinstance(info[key], int) for key in ("size", "w", "h")):
        yield "what the picture is stays unsaid"


def _reaction(content: Json) -> Iterator[str]:
    relation = content.get("m.relates_to", {})
    if content.keys() != {"m.relates_to"} or relation.keys() != {"rel_type", "event_id", "key"}:
        yield "a reaction has a relation and nothing else"
    elif relation["rel_type"] != "m.annotation" or not EVENT_ID.fullmatch(relation["event_id"]) or not relation["key"]:
        yield "a reaction annotates an event with a key"


class Shown(HTMLParser):
    """What a formatted body shows, whom it links, and what markup it has that it should not."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.text = ""
        self.linked: set[str] = set()
        self.flaws: list[str] = []
        self.feed(html)
        self.close()

    def handle_data(self, data: str) -> None:
        self.text += data

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in TAGS or {name for name, _ in attrs} != TAGS[tag]:
            self.flaws.append(f"{tag} does not belong into the coach's words")
        if tag == "br":
            self.text += "\n"
        for name, value in attrs:
            link = LINK.fullmatch(value or "")
            if name == "href" and link is None:
                self.flaws.append("it links to something else than a person")
            elif link is not None:
                self.linked.add(link[1])
