"""Log to PDF: one shift, and many shifts in one call."""

import datetime
import statistics
import zoneinfo

from measure import TOP, Skipped, Wrong, mib, peak_mib, repeat, run

SCENARIO = TOP / "fixtures" / "scenario"
FIRST = datetime.date(2026, 11, 23)


def starts(nights):
    """Unix ms of 10 p.m. local time of so many nights, as site.toml has it."""
    zone = zoneinfo.ZoneInfo("America/Chicago")
    days = (FIRST + datetime.timedelta(days=n) for n in range(nights))
    at = (datetime.datetime.combine(day, datetime.time(22), zone) for day in days)
    return [int(time.timestamp() * 1000) for time in at]


def weekly_book(kit):
    """A shift book with a length measured each week, as people should.

    The wear figure reads all nights since the last measurement: with a book that ends,
    each further night costs more than the one before it.
    """
    text = f'[[tool]]\nfitted = {FIRST - datetime.timedelta(days=21)}\ngrit = "1500"\n'
    for week in range(kit.shifts // 7 + 2):
        day = FIRST + datetime.timedelta(days=7 * week - 3)
        text += f'[[measured]]\ndate = {day}\nlength = "{0.9 - 0.002 * week:.3f} in"\n'
    path = kit.work / "weekly-book.toml"
    path.write_text(text)
    return path


def sheet(kit, log, shift, out, book=SCENARIO / "book.toml"):
    """The arguments that make a sheet or several."""
    files = ["--site", SCENARIO / "site.toml", "--machine", SCENARIO / "machine.toml"]
    program = [kit.program("underbrush"), "sheet", "--log", log, *files]
    return [*program, "--book", book, "--shift", shift, "--out", out]


def pages(path):
    """A sheet that is none is not worth timing."""
    data = path.read_bytes()
    if not data.startswith(b"%PDF-") or len(data) < 10_000:
        raise Wrong(f"{path} is no shift sheet")


def one_sheet(kit, table):
    for plan in ("plain", "bench"):
        log, out = kit.work / f"log-{plan}", kit.work / f"{plan}.pdf"
        made = kit.kit("nights", plan, log, *starts(1))
        frames, readings = made.value("frames"), made.value("readings")
        args = sheet(kit, log, FIRST, out)
        here = repeat(args, kit.times)
        pages(out)
        name = f"sheet, {plan}: {frames:,.0f} frames, {readings:,.0f} readings"
        goal = ("< 150 ms", here.median_s < 0.150)
        peak = peak_mib(args)
        peak_goal = ("< 64 MiB", peak < 64) if peak else ""
        try:
            peer, inside_s, peer_peak = histogram(kit, log, plan, readings)
            beside = f"pyarrow, histograms of the same rows: {peer}"
            table.add(name, str(here), beside, here.median_s / peer.median_s, goal)
            beside = f"the same without start and imports: {inside_s * 1e3:.0f} ms median"
            table.add(name, str(here), beside, here.median_s / inside_s)
            ratio = peak / peer_peak if peak else None
            table.add(name, mib(peak), f"pyarrow: {mib(peer_peak)}", ratio, peak_goal)
        except Skipped as why:
            table.skip(f"peer of {name}", why)
            table.add(name, str(here), goal=goal)
            table.add(name, mib(peak), goal=peak_goal)


def histogram(kit, log, plan, readings):
    """What the peer takes for the same night: in all, without its start, and in memory."""
    rows, parquet = kit.work / f"{plan}.rows", kit.work / f"{plan}.parquet"
    kit.kit("rows", log, rows)
    run(kit.peer("pyarrow", "peer_parquet.py", "write", rows, parquet))
    args = kit.peer("pyarrow", "peer_parquet.py", "read", parquet)
    peer = repeat(args, kit.times)
    if peer.runs[0].value("rows") != readings:
        raise Wrong("the peer read another number of rows")
    inside_s = statistics.median(one.value("seconds") for one in peer.runs)
    return peer, inside_s, peak_mib(args)


def several_sheets(kit, table):
    log, few_log = kit.work / "log-many", kit.work / "log-few"
    kit.kit("nights", "plain", log, *starts(kit.shifts))
    # The first ten power-ons alone; a log's files are named by power-on.
    few_log.mkdir()
    for boot in range(1, 11):
        for path in log.glob(f"boot-{boot:08}.*"):
            (few_log / path.name).hardlink_to(path)
    days = [FIRST + datetime.timedelta(days=n) for n in range(kit.shifts)]
    out, book = kit.work / "sheets", weekly_book(kit)

    def together(folder, count):
        empty(out)
        result = run(sheet(kit, folder, f"{days[0]}..{days[count - 1]}", out, book))
        found = sorted(out.glob("*.pdf"))
        if len(found) != count:
            raise Wrong(f"{len(found)} sheets for {count} shifts")
        for path in found:
            pages(path)
        return result

    def single(count):
        runs = []
        for day in days[:count]:
            path = kit.work / f"single-{day}.pdf"
            runs.append(run(sheet(kit, log, day, path, book)))
        return runs

    together(log, kit.shifts)
    many = min((together(log, kit.shifts) for _ in range(3)), key=lambda r: r.wall_s)
    singles = min((single(kit.shifts) for _ in range(3)), key=lambda rs: sum(r.wall_s for r in rs))
    for path, day in zip(sorted(out.glob("*.pdf")), days):
        if path.read_bytes() != (kit.work / f"single-{day}.pdf").read_bytes():
            raise Wrong(f"the sheet of {day} differs between the range and a single call")
    total = sum(r.wall_s for r in singles)
    table.add(
        f"{kit.shifts} shifts in one call",
        f"{many.wall_s:.2f} s",
        f"{kit.shifts} calls of one shift, the same log: {total:.2f} s",
        many.wall_s / total,
        ("ratio <= 1.2", many.wall_s <= 1.2 * total),
    )
    # What a book without a later measurement costs on the last night.
    one = kit.work / "one.pdf"
    aged = repeat(sheet(kit, log, days[-1], one), 3)
    first = repeat(sheet(kit, log, days[0], one), 3)
    table.add(
        f"shift {kit.shifts}, never measured since the first",
        str(aged),
        f"shift 1, the same log: {first}",
        aged.median_s / first.median_s,
    )
    span = f"{days[0]}..{days[-1]}"
    many_mib = peak_mib(sheet(kit, log, span, out, book))
    beside = (
        ("10 shifts in one call, a log of 10", sheet(kit, few_log, f"{days[0]}..{days[9]}", out, book)),
        ("one shift, the same log", sheet(kit, log, days[0], one, book)),
        ("one shift, a log of 10", sheet(kit, few_log, days[0], one, book)),
    )
    for what, args in beside:
        other_mib = peak_mib(args)
        ratio = many_mib / other_mib if many_mib else None
        goal = ("flat: ratio < 1.1", ratio < 1.1) if ratio else ""
        name = f"memory, {kit.shifts} shifts in one call"
        table.add(name, mib(many_mib), f"{what}: {mib(other_mib)}", ratio, goal)


def empty(folder):
    """An empty folder."""
    folder.mkdir(exist_ok=True)
    for path in folder.iterdir():
        path.unlink()
