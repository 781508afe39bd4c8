"""What must be in the log: the frames sent to each boot, and what the agent said is safe."""

import re
from collections import Counter
from dataclasses import dataclass

import stream

SYNCED = re.compile(r"synced boot=(\d+) part=(\d+) readings=(\d+) notes=(\d+)")


@dataclass
class Promise:
    """One boot. Counts grow with each line of the agent."""

    boot: int
    first: int
    sent: int = 0
    readings: int = 0
    notes: int = 0
    part: int = 0

    def text(self):
        return f"{self.boot}:{self.first}:{self.readings}:{self.notes}"


def judge(promise, boot):
    """Problems of one boot's log, and the number of the first frame that is not whole in it."""
    found = boot.readings()
    wanted = {channel: [] for channel in boot.values}
    promised = Counter()
    tags, count, number, behind = [], 0, promise.first, None
    while count < max(found, promise.readings):
        _, _, readings, tag = stream.frame(number)
        if tag is not None:
            tags.append(tag)
        for channel, value in readings:
            if count < found:
                wanted.setdefault(channel, []).append(value)
            promised[channel] += count < promise.readings
            count += 1
        if count > found and behind is None:
            behind = number
        number += 1
    problems = []
    for channel in sorted(set(wanted) | set(promised)):
        values, times = boot.values.get(channel, []), boot.times.get(channel, [])
        if values != wanted.get(channel, []):
            place = next((at for at, pair in enumerate(zip(values, wanted[channel])) if pair[0] != pair[1]),
                         min(len(values), len(wanted[channel])))
            problems.append(f"boot {promise.boot}, channel {channel}: differs from value {place} on")
        if len(values) < promised[channel]:
            problems.append(f"boot {promise.boot}, channel {channel}: {len(values)} readings, "
                            f"{promised[channel]} were said to be safe")
        if times != sorted(times):
            problems.append(f"boot {promise.boot}, channel {channel}: times run back")
    if boot.notes < promise.notes:
        problems.append(f"boot {promise.boot}: {boot.notes} notes, {promise.notes} were said to be safe")
    # The mark at the very end may be on either side of the cut.
    if boot.tags not in (tags, tags[:-1], [*tags, next_tag(number)]):
        problems.append(f"boot {promise.boot}: marks {boot.tags[-3:]} at the end, sent were {tags[-3:]}")
    if promise.sent and number > promise.first + promise.sent + 1:
        problems.append(f"boot {promise.boot}: more readings than were sent")
    return problems, number if behind is None else behind


def next_tag(number):
    while stream.frame(number)[3] is None:
        number += 1
    return number
