"""A capture through the agent, and its bytes through the link decoder alone."""

import shutil
import statistics

from measure import TOP, Skipped, Wrong, mib, peak_mib, run


def decoding(kit, table):
    capture = kit.work / "night.bytes"
    sent = kit.kit("capture", "bench", capture).value("frames_sent")
    size = capture.stat().st_size
    folder = kit.work / "replay"
    folder.mkdir()
    shutil.copy(TOP / "fixtures/scenario/machine.toml", folder)
    config = folder / "agent.toml"
    config.write_text(
        'log_dir = "log"\nmachine = "machine.toml"\n'
        f'[source]\nkind = "capture"\nfile = "{capture}"\nstart = 2026-11-23T22:00:00-06:00\n'
    )
    runs = []
    args = [kit.program("underbrush-agent"), "run", "--config", config]
    for _ in range(max(3, kit.times // 2)):
        shutil.rmtree(folder / "log", ignore_errors=True)
        runs.append(run(args))
    if f"frames            {sent:.0f}\n" not in runs[0].printed:
        raise Wrong(f"{sent:.0f} frames were sent:\n{runs[0].printed}")
    whole_s = statistics.median(r.wall_s for r in runs)
    alone = kit.kit("decode", capture)
    if alone.value("frames") != sent:
        raise Wrong("the decoder does not find all frames")
    alone_s = alone.value("seconds")

    def rate(seconds):
        return f"{sent / seconds / 1e6:.2f} M frames/s, {size / seconds / 1e6:.0f} MB/s"

    peer_s = None
    try:
        peer = run(kit.peer("cobs", "peer_cobs.py", capture))
        if peer.value("frames") != sent:
            raise Wrong("the peer does not find all frames")
        peer_s = peer.value("seconds")
    except Skipped as why:
        table.skip("peer of the decoder", why)
    beside = f"Python cobs + zlib.crc32, checks alone: {rate(peer_s)}" if peer_s else ""
    ratio = (lambda seconds: peer_s / seconds) if peer_s else (lambda _: None)
    name = f"a capture of {size / 1e6:.1f} MB"
    table.add(f"{name}, decoder alone", rate(alone_s), beside, ratio(alone_s))
    table.add(f"{name}, recorded and sealed", rate(whole_s), beside, ratio(whole_s))
    shutil.rmtree(folder / "log")
    table.add(f"{name}, recorded and sealed", mib(peak_mib(args)))
