"""The Matrix channel: encrypted rooms on any homeserver; it carries words and decides nothing.

Files, in the order in which a message meets them: `arrival` (what came in), `ear` (the sync loop), `courier` (the front door:
`listen` and `send`), `voice` (what goes out), `rooms` (who is where), `credentials` and `signing` (who the coach is),
`answers` (what the homeserver replied). The library's weak spots are closed in `../hardening.py` and nowhere else.
"""
