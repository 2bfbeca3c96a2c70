#!/usr/bin/python3
"""The words for the day of an injection, at every hour: the weekday in the largest type
agrees with the date under it, and from 9 pm to 5:59 am both days of the night are named
(US Naval Observatory advice to give both dates of a night).  Weekdays by Python's datetime."""
import datetime
import glob
import os
import re
import shutil
import subprocess
import sys
import tempfile

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
NOW = "2026-11-20T10:00-04:00"


def wanted(hour, date):
    """The right words, or None where the day needs none, with the date being that of the clock time."""
    def day(offset):
        return (date + datetime.timedelta(days=offset)).strftime("%A")
    if hour < 6:
        return f"in the night from {day(-1)} to {day(0)}"
    return f"in the night from {day(0)} to {day(1)}" if hour >= 22 else None


def run(*words):
    return subprocess.run([PROGRAM, *words], capture_output=True, text=True)


def lead_of(scratch, hour):
    """The lines of a course's sheet, given at five past this hour on the day after the transfer."""
    folder = f"{scratch}/{hour}"
    shutil.copytree("samples/lantern-cove", folder)
    path = folder + "/protocols/oil-course.yaml"
    with open(path, encoding="utf-8") as file:
        text = re.sub(r"when: .* on day", f"when: {hour % 12 or 12}:05 {'am' if hour < 12 else 'pm'} on day", file.read())
    for seal in ("0" * 16, None):
        with open(path, "w", encoding="utf-8") as file:
            file.write(re.sub(r"seal: [0-9a-f-]+", f"seal: {seal or digest}", text))
        digest = run("seal", path).stdout.strip()
    done = run("sheet", "--text", "--now", NOW, "--out", folder + "/out", folder + "/patients/LC-2070.yaml")
    found = glob.glob(folder + "/out/*.txt")
    if not found:
        return None, done.stderr[-600:]
    with open(found[0], encoding="utf-8") as file:
        return [re.sub(r"\s+", " ", line).strip() for line in file.read().split("\n")], None


faults = []
with tempfile.TemporaryDirectory() as scratch:
    for hour in range(24):
        lines, error = lead_of(scratch, hour)
        date = datetime.date(2026, 11, 27)
        if error:
            faults.append(f"{hour}:05: no sheet: {error}")
            continue
        nights = [line for line in lines[:12] if line.startswith("in the night")]
        if nights != [wanted(hour, date)] * (wanted(hour, date) is not None):
            faults.append(f"{hour}:05: {wanted(hour, date)!r} does not stand on {lines[4:9]}")
        if not any(line.startswith("Friday, November 27, 2026,") for line in lines[:12]):
            faults.append(f"{hour}:05: the date is {lines[4:9]}")
print("\n".join(faults))
print(f"{24 - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults else 0)
