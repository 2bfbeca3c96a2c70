#!/usr/bin/env python3
"""A newcomer's first hour: each command that README.md shows is typed as it stands, today and
on other days (faketime, a Debian package, shows a program another date), and ends as the
README says; the copies that samples/today makes have no finding that stops a sheet on any of
them.  Days beside the changes of the clocks in Halifax and London are among them.
"""
import datetime
import os
import re
import subprocess
import sys
import tempfile

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
ROOT = os.getcwd()
TODAY = datetime.date.today()
# One whole walk today; with "all" a week and years later, on other weekdays.  Only the copies on the others.
WALKED = [TODAY] + ([TODAY + datetime.timedelta(days=n) for n in (9, 1209)] if "all" in sys.argv[1:] else [])
COPIED = ["2027-03-12", "2027-03-28", "2027-06-16", "2027-10-28", "2027-11-03", "2028-02-29"]
# What the words in capitals of the README's table stand for, in the copy that it made.
MEANT = {
    "check FILE...": "check clinic/protocols clinic/patients/LC-2041.yaml",
    "sheet --out FOLDER PATIENT-FILE": "sheet --out other clinic/patients/LC-2058.yaml",
    "read --code CODE SHEET.pdf": "read today/LC-2041-7-trigger.pdf",
    "plan FILE": "plan clinic/patients/LC-2041.yaml",
    "plan --format fhir FILE": "plan --format fhir clinic/patients/LC-2041.yaml",
    "trace FILE injection_time": "trace clinic/patients/LC-2041.yaml injection_time",
    "approve --by NAME --review-by DATE PROTOCOL-FILE":
        "approve --by 'Dr R. Invented' --review-by {later} clinic/protocols/evening-trigger.yaml",
    "day --out FOLDER ROSTER": "day --out night clinic/today.csv",
    "night --out FOLDER PATIENTS-FOLDER": "night --out wall clinic/patients",
    "people list --clinic FOLDER": "people list --clinic samples/lantern-cove",
    "desk --clinic FOLDER": "desk --help", # it serves until it is ended: tests/desk.py
    "find 9AHC6 PATIENTS-FOLDER": "find LC-2041 clinic/patients",
    # These need a clinic that keeps a record: tests/record.py types them.
    "move --out FOLDER PATIENT-FILE '12:30 pm'": "move --help",
    "cancel --by NAME SHEET REASON": "cancel --help",
    "compare OLD NEW": "compare clinic clinic",
    "review --out FOLDER FOLDER...": "review --out report clinic",
    "rule-book --out FOLDER": "rule-book --out book",
}


def commands():
    """Those of the indented blocks and of the table, in their order."""
    with open("README.md", encoding="utf-8") as file:
        text = file.read()
    shown = [line.strip() for line in re.findall(r"(?m)^    ((?:samples|\.build)/.*)$", text)]
    table = re.findall(r"(?m)^\| [^|]* \| `dosewright ([^`]*)`", text)
    return shown + [".build/dosewright " + MEANT.get(words, words) for words in table]


def typed(command, day, folder):
    later = (day + datetime.timedelta(days=300)).isoformat()
    line = command.split("  #")[0].replace("{later}", later)
    return subprocess.run(["faketime", f"{day} 10:15:00", "sh", "-c", line], cwd=folder, capture_output=True, text=True,
                          timeout=120)


def wanted(command):
    return 1 if "samples/wrong" in command else 0


def scratch_home(scratch):
    for name in (".build", "samples", "protocols", "templates"):
        os.symlink(os.path.join(ROOT, name), os.path.join(scratch, name))


def main():
    faults, count = [], 0
    for day in WALKED:
        with tempfile.TemporaryDirectory() as scratch:
            scratch_home(scratch)
            for command in commands():
                count += 1
                done = typed(command, day, scratch)
                if done.returncode != wanted(command):
                    faults.append(f"{day}: {command}: exit {done.returncode}\n{(done.stderr or done.stdout)[-600:]}")
    for day in map(datetime.date.fromisoformat, COPIED):
        with tempfile.TemporaryDirectory() as scratch:
            scratch_home(scratch)
            for sample in ("lantern-cove", "northmere"):
                count += 1
                done = typed(f"samples/today {sample} {sample} && .build/dosewright check {sample} $(ls {sample}/*.csv 2>/dev/null)", day, scratch)
                if done.returncode != 0:
                    faults.append(f"{day}: {sample}: exit {done.returncode}\n{done.stderr[-900:]}")
    print("\n".join(faults))
    print(f"{count - len(faults)} passed, {len(faults)} failed")
    return 1 if faults or count < 30 else 0


if __name__ == "__main__":
    sys.exit(main())
