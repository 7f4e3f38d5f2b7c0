"""The coach in Matrix as one program: `run` joins the coach to its rooms, `config` says whose they are.

`people` tells who a Matrix id is, `house` whose room is which and who may hear what. `inbox` (with `athlete` and
`clinician`) turns what arrives into the coach's turns, `post` brings the outbox to the rooms, `taps` are the answers by
reaction. `doors` are the commands, `doctor` looks for what is wrong. No rule of the programme is here.
"""
