#!/usr/bin/env python3
"""trace answers for what a sheet prints: each count, mark and time of a sample names the
place in the files that it rests on, and can be asked for by what is printed."""
import os
import re
import subprocess
import sys

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PATIENT = "samples/lantern-cove/patients/LC-2041.yaml"
# value: the file, and words of the lines, that it rests on
WANTED = {
    "containers_all": ("shelf.yaml", "chorionic"), "diluents_all": ("shelf.yaml", "bacteriostatic"),
    "syringes": ("shelf.yaml", "name: 3 mL"), "drawing_needles": ("shelf.yaml", "18 G"),
    "injecting_needles": ("evening-trigger.yaml", "spare_needles"), "mark": ("shelf.yaml", "mark_every"),
    "strength": ("shelf.yaml", "strength"), "drawable": ("shelf.yaml", "withdraw"),
    "start": ("clinic.yaml", "start: 45 min"), "sit": ("clinic.yaml", "sit"), "set_alarms": ("clinic.yaml", "alarms"),
    "check_kit": ("clinic.yaml", "check_kit"), "call_by": ("clinic.yaml", "call_by"),
    "valid_until": ("evening-trigger.yaml", "when"),
    "alcohol_wipes": ("evening-trigger.yaml", "alcohol wipe, count: 4"), "gauze_pads": ("evening-trigger.yaml", "gauze pad"),
    "small_plasters": ("evening-trigger.yaml", "small plaster"), "sharps_boxes": ("evening-trigger.yaml", "sharps box"),
    "injection_time": ("evening-trigger.yaml", "36 h"),
}
PRINTED = {"11:20 pm": "sit", "23:20": "sit", "1 mL": "volume", "line 1": "mark", "902 555 0142": "phone_night",
           "A1234": "lot", "10,000 units": "dose", "4 alcohol wipes": "alcohol_wipes", "2 gauze pads": "gauze_pads",
           "1 small bandage": "small_plasters", "1 sharps box": "sharps_boxes", "2 injecting needles": "injecting_needles",
           "4": "alcohol_wipes"}


def trace(word):
    done = subprocess.run([".build/dosewright", "trace", PATIENT, word], capture_output=True, text=True)
    return done.stdout if done.returncode == 0 else f"exit {done.returncode}: {done.stderr}"


faults = []
for value, (file, words) in WANTED.items():
    said = trace(value)
    if "worked out: " not in said or not re.search(rf"from \S*{file}:\d+:\d+\n[^\n]*{re.escape(words)}", said):
        faults.append(f"{value}: no {file} with {words!r}:\n{said}")
for word, value in PRINTED.items():
    if not re.search(rf"(?m)^(injection 1, )?{value}: ", trace(word)):
        faults.append(f"{word!r} does not lead to {value}:\n{trace(word)}")
if "there is no value" not in trace("3:33 am"):
    faults.append("3:33 am is printed nowhere, and trace knows it")
count = len(WANTED) + len(PRINTED) + 1
print("\n".join(faults))
print(f"{count - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults else 0)
