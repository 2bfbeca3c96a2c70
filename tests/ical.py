#!/usr/bin/python3
"""Calendar files through an independent parser (python3-icalendar) and against the plan: each
injection at its instant, an alarm for each rung, the zone's clock changes (RFC 5545).  The code
for the telephone, read from a rendering by zbar (ISO/IEC 18004), holds the same instants.  It
stands on page one of every ordinary English sheet whose text a code can hold; where words need more
room, in large print and in other languages, it may stand on page two.

usage: tests/ical.py [all]
    all: every sample in every language and on both papers, for make score; else each in
    its own language and on its own paper, and one patient in three others"""
import glob
import importlib.machinery
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from datetime import datetime, timedelta, timezone

import icalendar

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
loader = importlib.machinery.SourceFileLoader("score_run", "tests/score/run")
score = importlib.util.module_from_spec(importlib.util.spec_from_loader("score_run", loader))
loader.exec_module(score)

PROGRAM = ".build/dosewright"
MOST_OCTETS = 718  # version 18, level L: with modules of 0.4 mm still under 40 mm


# ---- the code on the paper ----

def code_in(sheet, page, part=1):
    """The text of the code in the upper part of a page, or None.  A telephone is held nearer or farther until it reads;
    of one size of picture alone this reader misses a code now and then."""
    with tempfile.TemporaryDirectory() as scratch:
        picture = scratch + "/page"
        for dots in (300, 320):
            crop = ["-x", "0", "-y", "0", "-W", str(10 * dots), "-H", str(int(11 * dots * part))] if part < 1 else []
            subprocess.run(["pdftoppm", "-r", str(dots), "-gray", *crop, "-f", str(page), "-l", str(page), "-singlefile", sheet,
                            picture], check=True)
            data = subprocess.run(["zbarimg", "-q", "--raw", picture + ".pgm"], capture_output=True).stdout
            if b"BEGIN:VCALENDAR" in data:
                return data[data.index(b"BEGIN"):]
    return None


def octets_needed(injection):
    """No fewer than the code's text has."""
    rungs = sum(name in injection for name in ("take_out", "start", "sit", "injection_time"))
    names = len(injection["injection_name"]["text"] + injection["medicine"]["text"] + injection["dose"]["text"])
    return 260 + 58 * rungs + names + 17 * (len(injection["acts"]) - 1)


def starts_of(event):
    """The instants of an event that is repeated by a rule or by dates."""
    first = event["DTSTART"].dt
    if "RRULE" in event:
        return [first + timedelta(days=day) for day in range(event["RRULE"]["COUNT"][0])]
    return [first] + ([date.dt for date in event["RDATE"].dts] if "RDATE" in event else [])


def faults_of_code(sheet, data, injection):
    event = icalendar.Calendar.from_ical(data.replace(b"\r\n", b"\n").strip() + b"\n").walk("VEVENT")[0]
    faults = []
    found, wanted = starts_of(event), [datetime.fromisoformat(act) for act in injection["acts"]]
    if found != wanted:
        faults.append(f"{sheet}: the code says {found}, planned {wanted}")
    alarms = sorted(-alarm["TRIGGER"].dt for alarm in event.walk("VALARM"))
    rungs = sorted(wanted[0] - datetime.fromisoformat(injection[name]["instant"])
                   for name in ("take_out", "start", "sit", "injection_time") if name in injection)
    if alarms != rungs:
        faults.append(f"{sheet}: the code's alarms {alarms}, planned {rungs}")
    return faults


def faults_of_sheet(sheet, injection, early):
    """early: on page one; else, where page one has no room for it, on page two."""
    data = code_in(sheet, 1)
    if not data and not early:
        data = code_in(sheet, 2)
    if data:
        return faults_of_code(sheet, data, injection)
    where = "on page one" if early else "on page one or two"
    return [f"{sheet}: no code {where}"] if octets_needed(injection) <= MOST_OCTETS else []


# ---- the calendar file ----

def faults_of_lines(path, data):
    return [f"{path}:{number}: a line of {len(line)} octets" for number, line in enumerate(data.split(b"\r\n"), 1)
            if len(line) > 75 or b"\n" in line]


def faults_of_zone(path, calendar, injection):
    zones = list(calendar.walk("VTIMEZONE"))
    if len(zones) != 1 or not zones[0].walk("STANDARD"):
        return [f"{path}: no zone"]
    changes = len(zones[0].walk("DAYLIGHT")) + len(zones[0].walk("STANDARD")) - 1
    return [f"{path}: {changes} clock changes"] if changes != ("clocks_change" in injection) else []


def faults_of_events(path, events, injection):
    """The events of one injection of a sheet."""
    faults = []
    starts = [event["DTSTART"].dt for event in events]
    wanted = [datetime.fromisoformat(act) for act in injection["acts"]]
    if [s.replace(tzinfo=None) for s in starts] != [w.replace(tzinfo=None) for w in wanted]:
        return [f"{path}: events at {starts}, planned {wanted}"]
    alarms = sorted(alarm["TRIGGER"].dt.astimezone(timezone.utc) for alarm in events[0].walk("VALARM"))
    rungs = sorted(datetime.fromisoformat(injection[name]["instant"]).astimezone(timezone.utc)
                   for name in ("check_kit", "set_alarms", "take_out", "start", "sit", "injection_time")
                   if name in injection)
    if alarms != rungs:
        faults.append(f"{path}: alarms {alarms}, planned {rungs}")
    if any("UID" not in event or "DTSTAMP" not in event for event in events):
        faults.append(f"{path}: an event without UID or DTSTAMP")
    return faults


def faults_of_calendar(path, injections):
    with open(path, "rb") as file:
        data = file.read()
    calendar = icalendar.Calendar.from_ical(data)
    faults = faults_of_lines(path, data) + faults_of_zone(path, calendar, injections[0])
    events = list(calendar.walk("VEVENT"))
    # RFC 5546, 3.2.1: a published event has one ORGANIZER
    if str(calendar["METHOD"]) != "PUBLISH" or any(str(event.get("ORGANIZER", ""))[:5] != "tel:+" for event in events):
        faults.append(f"{path}: an event that nobody publishes")
    for injection in injections:
        name = f"-{injection['injection_name']['text']}-"
        own = [event for event in events if name in event["UID"]]
        faults += faults_of_events(path, own, injection)
        events = [event for event in events if event not in own]
    return faults + [f"{path}: an event of no injection" for event in events]


# ---- the builds ----

def other_clinic(patient, tag, scratch):
    """The patient's file in a copy of the clinic, in this language."""
    if tag == "en":
        return patient
    clinic = os.path.dirname(os.path.dirname(patient))
    score.translated(clinic, scratch + "/clinic", tag)
    return scratch + "/clinic/patients/" + os.path.basename(patient)


def faults_of_build(job):
    """The faults of each sheet of one patient in one build."""
    patient, now, tag, paper, large = job
    with tempfile.TemporaryDirectory() as scratch:
        patient = other_clinic(patient, tag, scratch)
        more = ["--large"] * large + ["--draft"] * (tag != "en")
        sheets = subprocess.run([PROGRAM, "sheet", "--now", now, "--calendar", "--paper", paper, *more, "--out",
                                 scratch + "/out", patient], capture_output=True, text=True)
        if sheets.returncode:
            return [[f"{job}: {sheets.stderr}"]]
        plan = json.loads(subprocess.run([PROGRAM, "plan", "--now", now, "--format", "json", patient],
                                         capture_output=True, text=True).stdout)
        results = []
        for path in sorted(glob.glob(f"{scratch}/out/*.ics")):
            own = [i for i in plan["injections"] if f"-{i['injection_name']['text']}" in os.path.basename(path)]
            faults = faults_of_calendar(path, own)
            if len(own) == 1:  # two injections have a calendar file, and no room for a code
                faults += faults_of_sheet(path[:-4] + ".pdf", own[0], tag == "en" and not large)
            results.append([f"{tag} {paper}: {fault}" for fault in faults])
        return results


def across_the_change(folder):
    """A course of which the clocks change: its days are not a day apart."""
    shutil.copytree("samples/lantern-cove", folder)
    path = folder + "/patients/LC-2070.yaml"
    with open(path, encoding="utf-8") as file:
        text = file.read()
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace("2026-11-26", "2026-10-29"))
    return (path, "2026-10-28T11:00-03:00", "en", "Letter", False)


def main():
    every = sys.argv[1:] == ["all"]
    jobs = [job for job in score.jobs(not every) if not job[4] or (every and job[2] == "en")]
    with tempfile.TemporaryDirectory() as scratch:
        jobs.append(across_the_change(scratch + "/clinic"))
        with ProcessPoolExecutor(2) as pool:
            sheets = [faults for build in pool.map(faults_of_build, jobs) for faults in build]
    for faults in sheets:
        print("\n".join(faults) + "\n" if faults else "", end="")
    failed = sum(bool(faults) for faults in sheets)
    print(f"{len(sheets) - failed} passed, {failed} failed")
    return 1 if failed or len(sheets) < (100 if every else 15) else 0


if __name__ == "__main__":
    sys.exit(main())
