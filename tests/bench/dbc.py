"""Signals of CAN frames a second, beside cantools.

Both decode the same random frames of the messages in the DBC files of the tests and must
find the same number of signals and the same sum of their values. Reading files and hex
digits is not timed.
"""

from measure import TOP, Skipped, Wrong, run

FILES = ["own_example.dbc", "motohawk.dbc", "signed.dbc"]
FRAMES = 200_000
GOAL, TIMES = 5e6, 20


def signals(kit, table):
    kit_program = kit.program("examples/can_kit")
    for name in FILES:
        path = TOP / "fixtures/data/dbc" / name
        frames = kit.work / f"{name}.frames"
        try:
            run(kit.peer("cantools", "peer_dbc.py", "write", path, frames, FRAMES))
            peer = run(kit.peer("cantools", "peer_dbc.py", "decode", path, frames))
        except Skipped as why:
            table.skip(f"signals of {name}: frames and peer", why)
            continue
        here = run([kit_program, "bench", path, frames])
        count = here.value("signals")
        # Of the peer every tenth frame is timed; both give the sum of those.
        theirs, ours = peer.value("sum"), here.value("tenth")
        if count == 0 or abs(theirs - ours) > 1e-9 * abs(theirs) + 1e-6:
            raise Wrong(f"{name}: sum {ours} here, {theirs} by cantools")
        pace, beside = count / here.value("seconds"), peer.value("signals") / peer.value("seconds")
        text, other = f"{pace / 1e6:.0f} M signals/s", f"cantools: {beside / 1e6:.3f} M signals/s"
        table.add(f"signals of {name}", text, other, pace / beside, (f"> {GOAL / 1e6:.0f} M", pace > GOAL))
        table.add(f"signals of {name}", text, other, pace / beside, (f"{TIMES} x", pace > TIMES * beside))
