"""The Matrix channel: encrypted rooms on any homeserver; it carries words and decides nothing.

`courier` is the front door (`listen` and `send`); behind it `ear` (the sync loop), `arrival` (what came in), `voice`
(what goes out), `rooms` (who is where), `succession` (whether a room goes on in another), `credentials` and `signing`
(who the coach is), `answers` (what the homeserver replied). The library's weak spots are closed in `../hardening.py`
and nowhere else.
"""
