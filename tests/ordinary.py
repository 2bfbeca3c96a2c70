#!/usr/bin/env python3
"""No false alarm: 200 ordinary variants of the samples, made of hours from 34 to 36 in quarters
and procedures from 7 am to 3 pm in quarters, have no finding that stops a sheet.  Only an
injection that would fall on midnight is refused, and by that rule alone.

usage: tests/ordinary.py [print]    with "print" the sheet of each is printed too
"""
import datetime
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = os.path.abspath(".build/dosewright")
# A sample of each clinic and of each way that counts hours before its event.
SAMPLES = [("lantern-cove", "LC-2041", "evening-trigger"), ("lantern-cove", "LC-2058", "arm-trigger"),
           ("lantern-cove", "LC-2060", "agonist-trigger"), ("northmere", "NM-310", None),
           ("northmere", "NM-318", None), ("northmere", "NM-325", None)]
VARIANTS = 200


def put(path, pattern, new):
    """Puts the text in the place of the one that matches; the number of places."""
    with open(path, encoding="utf-8") as file:
        text, count = re.subn(pattern, new, file.read())
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    return count


def clock(minutes):
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def variant(folder, sample, person, protocol, quarters, minute):
    """The patient's file of the variant, and the day on which the sample is printed."""
    shutil.copytree(f"samples/{sample}", folder)
    patient = f"{folder}/patients/{person}.yaml"
    with open(patient, encoding="utf-8") as file:
        text = file.read()
    name = protocol or re.search(r"(?m)^protocol: (.*)$", text).group(1)
    path = f"{folder}/protocols/{name}.yaml"
    hours, rest = divmod(quarters * 15, 60)
    when = f"when: {hours} h {rest} min before egg collection" if rest else f"when: {hours} h before egg collection"
    assert put(path, r"when: .* before egg collection", when) == 1, path
    assert put(patient, r"clock: [^}]*\}", f"clock: {clock(minute)}}}") == 1, patient
    assert put(f"{folder}/clinic.yaml", r"(procedures:\n  days: .*\n  hours: ).*", r"\g<1>07:00 to 15:00") == 1
    seal = subprocess.run([PROGRAM, "seal", path], capture_output=True, text=True).stdout.strip()
    put(path, r"seal: [0-9a-f-]+", f"seal: {seal}")
    return patient, datetime.datetime.fromisoformat(re.match(r"# Printed (.*)", text).group(1))


def judge(answer):
    """Why it is a false alarm, or None."""
    stops = [finding for finding in answer["findings"] if finding.split(" ")[0] in ("error", "warning")]
    at = answer["plan"]["injections"][0]["injection_time"]["text"]
    if at.endswith(" 00:00"):
        return None if stops == ["error lands_on_midnight"] else f"at midnight: {stops}"
    return f"{at}: {stops}" if stops else None


def printed(job):
    folder, patient, now, fine = job
    done = subprocess.run([PROGRAM, "sheet", "--now", now.isoformat(timespec="minutes"), "--out", folder + "/out",
                           patient], capture_output=True, text=True)
    return None if (done.returncode == 0) == fine else f"{patient}: exit {done.returncode}: {done.stderr[-500:]}"


def main():
    rng = random.Random(20261123)
    faults, jobs = [], []
    with tempfile.TemporaryDirectory() as scratch:
        asked = []
        for index in range(VARIANTS):
            sample, person, protocol = SAMPLES[index % len(SAMPLES)]
            quarters, minute = rng.randrange(34 * 4, 36 * 4 + 1), rng.randrange(7 * 60, 15 * 60 + 1, 15)
            patient, now = variant(f"{scratch}/{index}", sample, person, protocol, quarters, minute)
            asked.append((index, patient, now, f"{person}, {quarters / 4} h before {clock(minute)}"))
        lines = "\n".join(f"{int(now.timestamp())} {patient}" for _, patient, now, _ in asked)
        done = subprocess.run([".build/drivers/plans"], input=lines + "\n", capture_output=True, text=True)
        answers = [json.loads(line) for line in done.stdout.split("\n") if line]
        midnights = 0
        for (index, patient, now, words), answer in zip(asked, answers):
            why = judge(answer)
            faults += [f"{words}: {why}"] if why else []
            midnight = answer["plan"]["injections"][0]["injection_time"]["text"].endswith(" 00:00")
            midnights += midnight
            jobs.append((f"{scratch}/{index}", patient, now, not midnight))
        if "print" in sys.argv:
            with ThreadPoolExecutor(2) as pool:
                faults += [why for why in pool.map(printed, jobs) if why]
    print("\n".join(faults))
    print(f"{len(answers)} variants, {midnights} of them at midnight; {len(faults)} failed")
    return 1 if faults or len(answers) != VARIANTS else 0


if __name__ == "__main__":
    sys.exit(main())
