#!/usr/bin/env python3
"""10,000 seeded random times in more than 40 zones: the program's zone arithmetic
(.build/drivers/sums) against Python's zoneinfo, both on the system's IANA database.

Half of them lie near a change of the clocks, where mistakes live: half-hour shifts
(Lord Howe), skipped whole days (Apia 2011), changes of the standard offset.  Python
decides how often a local time occurs by trying both folds there and back.  Years reach
from 2000 to 2037: GLib and the C library part over Dublin after March 2038.

usage: tests/random_times.py [all]    all: every change of the clocks of every zone too, in both directions
"""
import os
import random
import subprocess
import sys
import zoneinfo
from datetime import datetime, timedelta, timezone

HERE = os.path.dirname(os.path.abspath(__file__))
SUMS = os.path.join(HERE, "..", ".build", "drivers", "sums")
ZONES = """America/Halifax America/Toronto America/New_York America/Chicago America/Denver America/Phoenix
America/Los_Angeles America/Anchorage America/St_Johns America/Mexico_City America/Sao_Paulo America/Caracas
America/Santiago America/Asuncion America/Nuuk America/Havana Atlantic/Azores Europe/London Europe/Dublin Europe/Lisbon
Europe/Berlin Europe/Athens Europe/Moscow Europe/Istanbul Europe/Volgograd Africa/Cairo Africa/Casablanca Africa/Lagos
Asia/Jerusalem Asia/Gaza Asia/Tehran Asia/Karachi Asia/Kolkata Asia/Kathmandu Asia/Dhaka Asia/Pyongyang Asia/Tokyo
Asia/Shanghai Australia/Lord_Howe Australia/Adelaide Australia/Sydney Australia/Eucla Pacific/Auckland Pacific/Chatham
Pacific/Apia Pacific/Tongatapu Pacific/Norfolk Antarctica/Troll""".split()
CASES = 10_000
EPOCH = datetime(1970, 1, 1, tzinfo=timezone.utc)
# Only the system's database: the program reads no other.
zoneinfo.reset_tzpath(["/usr/share/zoneinfo"])


def seconds(moment):
    return int((moment.astimezone(timezone.utc) - EPOCH).total_seconds())


def instants(zone, local):
    """The instants that carry this local time, earliest first."""
    found = set()
    for fold in (0, 1):
        moment = local.replace(tzinfo=zone, fold=fold)
        if moment.astimezone(timezone.utc).astimezone(zone).replace(tzinfo=None, fold=0) == local:
            found.add(seconds(moment))
    return sorted(found)


def exactly(zone, early, late):
    """The minute between two moments at which the offset changes."""
    before = early.astimezone(zone).utcoffset()
    while late - early > timedelta(minutes=1):
        middle = early + (late - early) / 2
        middle -= timedelta(seconds=middle.second, microseconds=middle.microsecond)
        if middle.astimezone(zone).utcoffset() == before:
            early = middle
        else:
            late = middle
    return late


def changes(zone):
    """Minutes at which the offset changes."""
    day, last, days = datetime(2000, 1, 1, tzinfo=timezone.utc), None, []
    while day.year < 2038:
        offset = day.astimezone(zone).utcoffset()
        if last is not None and offset != last:
            days.append(exactly(zone, day - timedelta(days=1), day))
        last = offset
        day += timedelta(days=1)
    return days


def asked_of(name, zone, moment, local):
    """A question and its answer: when is it local time there, or what does the clock there say."""
    if local is not None:
        found = instants(zone, local)
        return f"instants {name}|{local:%Y-%m-%d %H:%M}", " ".join(map(str, [len(found)] + found))
    there = moment.astimezone(zone)
    return f"local {name}|{seconds(moment)}", f"{there:%Y-%m-%d %H:%M} {int(there.utcoffset().total_seconds())}"


def at_random():
    """Half of them near a change."""
    random.seed(20261124)
    zones = {name: zoneinfo.ZoneInfo(name) for name in ZONES}
    near = {name: changes(zone) for name, zone in zones.items()}
    for number in range(CASES):
        name = ZONES[number % len(ZONES)]
        zone = zones[name]
        if near[name] and number % 2:
            moment = random.choice(near[name]) + timedelta(minutes=random.randrange(-90, 90))
        else:
            moment = datetime(2000, 1, 2, tzinfo=timezone.utc) + timedelta(minutes=random.randrange(37 * 365 * 1440))
        local = None
        if number % 3:
            local = moment.astimezone(zone).replace(tzinfo=None, second=0, microsecond=0, fold=0)
            local += timedelta(minutes=random.choice((-90, -60, -30, 0, 0, 0, 30, 60, 90)))
        yield asked_of(name, zone, moment, local)


def at_every_change():
    """Each change of each zone of the database's own list: the clock a minute before it, at it and behind it,
    and from the clock back, on the old reading and on the new."""
    with open("/usr/share/zoneinfo/zone1970.tab", encoding="utf-8") as file:
        names = sorted({line.split("\t")[2].strip() for line in file if not line.startswith("#")})
    for name in names:
        zone = zoneinfo.ZoneInfo(name)
        for change in changes(zone):
            for minutes in (-61, -1, 0, 1, 61):
                yield asked_of(name, zone, change + timedelta(minutes=minutes), None)
            for edge in (change - timedelta(minutes=1), change):
                reading = edge.astimezone(zone).replace(tzinfo=None, second=0, microsecond=0, fold=0)
                for minutes in (-61, -30, -1, 0, 1, 2, 30, 61):
                    yield asked_of(name, zone, None, reading + timedelta(minutes=minutes))


def main():
    everything = "all" in sys.argv[1:]
    asked = list(at_random()) + (list(at_every_change()) if everything else [])
    questions, wanted = zip(*asked)
    done = subprocess.run([SUMS], input="\n".join(questions) + "\n", capture_output=True, text=True)
    answers = done.stdout.split("\n")[:-1]
    failed = [(q, a, w) for q, a, w in zip(questions, answers, wanted) if a != w]
    for question, answer, want in failed[:20]:
        print(f"{question}: {answer} instead of {want}")
    counts = [sum(w.startswith(f"{n} ") or w == n for q, w in zip(questions, wanted) if q[0] == "i") for n in "012"]
    zones = {question.split(" ", 1)[1].split("|")[0] for question in questions}
    print(f"{len(zones)} zones; local times that occur never, once, twice: {counts}")
    short = len(answers) != len(asked) or min(counts) < 50
    print(f"{len(answers) - len(failed)} passed, {len(failed) + short} failed")
    return 1 if failed or short else 0


sys.exit(main())
