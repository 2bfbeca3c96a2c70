#!/usr/bin/env python3
"""10,000 seeded random times in more than 40 zones: the program's zone arithmetic
(.build/drivers/sums) against Python's zoneinfo, both on the system's IANA database.

Half of them lie near a change of the clocks, where mistakes live: half-hour shifts
(Lord Howe), skipped whole days (Apia 2011), changes of the standard offset.  Python
decides how often a local time occurs by trying both folds there and back.  Years reach
from 2000 to 2037: GLib and the C library part over Dublin after March 2038.
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


random.seed(20261124)
zones = {name: zoneinfo.ZoneInfo(name) for name in ZONES}
near = {name: changes(zone) for name, zone in zones.items()}
questions, wanted = [], []
for number in range(CASES):
    name = ZONES[number % len(ZONES)]
    zone = zones[name]
    if near[name] and number % 2:
        moment = random.choice(near[name]) + timedelta(minutes=random.randrange(-90, 90))
    else:
        moment = datetime(2000, 1, 2, tzinfo=timezone.utc) + timedelta(minutes=random.randrange(37 * 365 * 1440))
    if number % 3:
        local = moment.astimezone(zone).replace(tzinfo=None, second=0, microsecond=0, fold=0)
        local += timedelta(minutes=random.choice((-90, -60, -30, 0, 0, 0, 30, 60, 90)))
        questions.append(f"instants {name}|{local:%Y-%m-%d %H:%M}")
        found = instants(zone, local)
        wanted.append(" ".join(map(str, [len(found)] + found)))
    else:
        there = moment.astimezone(zone)
        questions.append(f"local {name}|{seconds(moment)}")
        wanted.append(f"{there:%Y-%m-%d %H:%M} {int(there.utcoffset().total_seconds())}")
done = subprocess.run([SUMS], input="\n".join(questions) + "\n", capture_output=True, text=True)
answers = done.stdout.split("\n")[:-1]
failed = [(q, a, w) for q, a, w in zip(questions, answers, wanted) if a != w]
for question, answer, want in failed[:20]:
    print(f"{question}: {answer} instead of {want}")
counts = [sum(w.startswith(f"{n} ") or w == n for q, w in zip(questions, wanted) if q[0] == "i") for n in "012"]
print(f"{len(ZONES)} zones; local times that occur never, once, twice: {counts}")
short = len(answers) != CASES or min(counts) < 50
print(f"{len(answers) - len(failed)} passed, {len(failed) + short} failed")
sys.exit(1 if failed or short else 0)
