#!/usr/bin/env python3
"""Each protocol that is wrong on purpose gives exactly the findings kept beside it, and
each names one fault only; the sample clinics give none that stops.

usage: tests/wrong.py [--update]
"""
import glob
import os
import re
import subprocess
import sys

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
faults, count = [], 0


def check(path, now, *more):
    return subprocess.run([".build/dosewright", "check", "--now", now, *more, path], capture_output=True, text=True)


for path in sorted(glob.glob("samples/wrong/protocols/*.yaml")):
    count += 1
    done = check(path, "2026-11-23T10:00-04:00", "--clinic", "samples/lantern-cove")
    kept = "samples/wrong/findings/" + os.path.basename(path)[:-5] + ".txt"
    if "--update" in sys.argv:
        with open(kept, "w", encoding="utf-8") as file:
            file.write(done.stderr)
    with open(kept, encoding="utf-8") as file:
        if file.read() != done.stderr:
            faults.append(f"{path}: other findings than {kept}:\n{done.stderr}")
    errors = re.findall(r": (?:error|warning): .*\[(\w+)\]", done.stderr)
    if done.returncode != 1 or len(errors) != 1:
        faults.append(f"{path}: exit {done.returncode}, {errors}")
for path in sorted(glob.glob("samples/*/patients/*.yaml")):
    count += 1
    with open(path, encoding="utf-8") as file:
        now = file.readline().split(" ")[-1].strip()
    done = check(path, now)
    if done.returncode != 0:
        faults.append(f"{path}: {done.stderr}")
print("\n".join(faults))
print(f"{count - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults or count < 20 else 0)
