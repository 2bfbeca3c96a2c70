#!/usr/bin/env python3
"""Which findings let a draft be printed, and which keep it back as they do a sheet."""
import os
import re
import shutil
import subprocess
import tempfile

from tally import end, expect
from two_languages import translated

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
NOW = "2026-11-23T10:00-04:00"
DRAFTED = [ # what a physician's reading may still mend keeps no draft back; what is wrong with the order does
    (0, "protocols/evening-trigger.yaml", r"approval: .*\n", "", "not_approved"),
    (0, "protocols/evening-trigger.yaml", "revision: 3", "revision: 4", "seal_broken"),
    (0, "protocols/evening-trigger.yaml", r"review_by: [\d-]+", "review_by: 2026-11-01", "review_overdue"),
    (0, "protocols/evening-trigger.yaml", r"review_by: [\d-]+", "review_by: 2028-11-01", "review_far"),
    (0, "patients/LC-2041.yaml", "patient: LC-2041", "patient: LC-2041\nlanguage: fr", "language_unreviewed"),
    (1, "protocols/evening-trigger.yaml", "36 h before", "30 h before", "offset_outside_practice"),
    (1, "patients/LC-2041.yaml", r"lot: \S+", "lot: [", "yaml_form")]


def drafts():
    for wanted, name, old, new, rule in DRAFTED:
        with tempfile.TemporaryDirectory() as scratch:
            clinic = shutil.copytree("samples/lantern-cove", os.path.join(scratch, "clinic"))
            path = os.path.join(clinic, name)
            with open(path, encoding="utf-8") as file:
                text = file.read()
            with open(path, "w", encoding="utf-8") as file:
                file.write(re.sub(old, new, text, count=1))
            if rule == "language_unreviewed":
                translated(clinic, clinic + ".fr", "en", "fr")
                clinic += ".fr"
            done = subprocess.run([".build/dosewright", "sheet", "--now", NOW, "--draft", "--out", scratch,
                                   f"{clinic}/patients/LC-2041.yaml"], capture_output=True, timeout=60)
            printed = [name for name in os.listdir(scratch) if name.endswith(".pdf")]
            expect(f"a draft under {rule}", done.returncode == wanted and f"[{rule}]" in done.stderr.decode() and
                   bool(printed) == (wanted == 0) and all("draft" in name for name in printed), f"{printed} {done.stderr.decode()[:300]}")


drafts()
end()
