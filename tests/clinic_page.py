#!/usr/bin/env python3
"""The clinic keeps one page of each injection: every sample's packing, sums, teaching, calls and names
stand on one side of one leaf, on the clinic's own paper and on the other, with all the words that it has."""
import glob
import os
import re
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
WORDS = ["Packed, by two", "Sums, alone", "Hear it in the person's own words", "Taught by", "zone database", "Answers:"]


def fault(patient):
    """What is wrong with one sample's pages, or None."""
    with open(patient, encoding="utf-8") as file:
        now = re.match(r"# Printed (.*)", file.read())[1]
    plan = subprocess.run([PROGRAM, "plan", "--now", now, "--format", "json", patient], capture_output=True, text=True).stdout
    with tempfile.TemporaryDirectory() as scratch:
        done = subprocess.run([PROGRAM, "sheet", "--now", now, "--template", "clinic-pages", "--out", scratch, patient],
                              capture_output=True, text=True)
        made = glob.glob(scratch + "/*.pdf")
        if done.returncode or not made:
            return f"{patient}: {done.stdout}{done.stderr}"
        pages = sum(subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True).stdout.count("\f")
                    for path in made)
        words = " ".join(subprocess.run(["pdftotext", made[0], "-"], capture_output=True, text=True).stdout.split())
    injections = len(re.findall(r'"check_code":', plan))
    lacks = [word for word in WORDS if word not in words]
    return f"{patient}: {pages} pages for {injections} injections, lacks {lacks}" if pages != injections or lacks else None


def main():
    patients = sorted(glob.glob("samples/*/patients/*.yaml"))
    with ThreadPoolExecutor(2) as pool:
        faults = [found for found in pool.map(fault, patients) if found]
    print("\n".join(faults))
    print(f"{len(patients)} people, {len(faults)} whose clinic's pages are not one for each injection")
    return 1 if faults or not patients else 0


sys.exit(main())
