"""The coach in Matrix as one program: `run` joins the coach to its rooms, `config` says whose they are.

`people` tells who a Matrix id is, `house` whose room is which and who may hear what, `moves` where a talk goes on when
its room is lost, `outside` what is said in rooms of others. `inbox` (with `athlete` and `clinician`) turns what arrives
into the coach's turns, `post` brings the outbox to the rooms, `owed` keeps what is said beside it, `taps` are the
answers by reaction. `doors` are the commands; `doctor`, and `checkup` on this machine alone, look for what is wrong.
No rule of the programme is here.
"""
