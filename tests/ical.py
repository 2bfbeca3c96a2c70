#!/usr/bin/python3
"""Calendar files through an independent parser (python3-icalendar) and against the plan: each
injection at its instant, an alarm for each rung, the zone's clock changes (RFC 5545); the code
on page one, read from a rendering by zbar (ISO/IEC 18004), holds the same instants."""
import glob
import json
import os
import subprocess
import sys
import tempfile
from datetime import datetime, timezone

import icalendar

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
faults, checked, codes = [], 0, 0


def check_code(sheet, injection):
    """The code of a sheet that has room for one; TRUE when there is one."""
    with tempfile.TemporaryDirectory() as scratch:
        subprocess.run(["pdftoppm", "-r", "150", "-l", "1", "-png", sheet, scratch + "/page"], check=True)
        page = glob.glob(scratch + "/page*")[0]
        data = subprocess.run(["zbarimg", "-q", "--raw", page], capture_output=True).stdout
    if b"BEGIN:VCALENDAR" not in data:
        return False
    event = icalendar.Calendar.from_ical(data[data.index(b"BEGIN"):].replace(b"\r\n", b"\n").strip() + b"\n").walk("VEVENT")[0]
    dates = event.get("RDATE")
    found = [event["DTSTART"].dt] + ([d.dt for d in dates.dts] if dates else [])
    wanted = [datetime.fromisoformat(act) for act in injection["acts"]]
    if found != wanted:
        faults.append(f"{sheet}: the code says {found}, planned {wanted}")
    alarms = sorted(-alarm["TRIGGER"].dt for alarm in event.walk("VALARM"))
    rungs = sorted(wanted[0] - datetime.fromisoformat(injection[name]["instant"])
                   for name in ("take_out", "start", "sit", "injection_time") if name in injection)
    if alarms != rungs:
        faults.append(f"{sheet}: the code's alarms {alarms}, planned {rungs}")
    return True


def events_of(path):
    with open(path, "rb") as file:
        data = file.read()
    for number, line in enumerate(data.split(b"\r\n"), 1):
        if len(line) > 75 or b"\n" in line:
            faults.append(f"{path}:{number}: a line of {len(line)} octets")
    return icalendar.Calendar.from_ical(data)


for patient in sorted(glob.glob("samples/*/patients/*.yaml")):
    with open(patient, encoding="utf-8") as file:
        now = file.readline().split(" ")[-1].strip()
    with tempfile.TemporaryDirectory() as scratch:
        subprocess.run([".build/dosewright", "sheet", "--now", now, "--calendar", "--out", scratch, patient], check=True,
                       capture_output=True)
        plan = json.loads(subprocess.run([".build/dosewright", "plan", "--now", now, "--format", "json", patient],
                                         check=True, capture_output=True).stdout)
        for injection in plan["injections"]:
            checked += 1
            path = glob.glob(f"{scratch}/*-{injection['injection_name']['text']}.ics")[0]
            codes += check_code(path[:-4] + ".pdf", injection)
            calendar = events_of(path)
            zones = list(calendar.walk("VTIMEZONE"))
            events = list(calendar.walk("VEVENT"))
            starts = [event["DTSTART"].dt for event in events]
            wanted = [datetime.fromisoformat(act) for act in injection["acts"]]
            if [s.replace(tzinfo=None) for s in starts] != [w.replace(tzinfo=None) for w in wanted]:
                faults.append(f"{path}: events at {starts}, planned {wanted}")
            if len(zones) != 1 or not zones[0].walk("STANDARD"):
                faults.append(f"{path}: no zone")
            changes = len(zones[0].walk("DAYLIGHT")) + len(zones[0].walk("STANDARD")) - 1
            if changes != ("clocks_change" in injection):
                faults.append(f"{path}: {changes} clock changes")
            alarms = sorted(alarm["TRIGGER"].dt.astimezone(timezone.utc) for alarm in events[0].walk("VALARM"))
            rungs = sorted(datetime.fromisoformat(injection[name]["instant"]).astimezone(timezone.utc)
                           for name in ("check_kit", "set_alarms", "take_out", "start", "sit", "injection_time")
                           if name in injection)
            if alarms != rungs:
                faults.append(f"{path}: alarms {alarms}, planned {rungs}")
            if any("UID" not in event or "DTSTAMP" not in event for event in events):
                faults.append(f"{path}: an event without UID or DTSTAMP")
print("\n".join(faults))
print(f"{checked - min(checked, len(faults))} passed, {len(faults)} failed")
print(f"{codes} sheets with a code")
sys.exit(1 if faults or checked < 9 or codes < 5 else 0)
