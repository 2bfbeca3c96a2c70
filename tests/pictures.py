#!/usr/bin/env python3
"""Every picture of the four-page sheet can be drawn as narrow as 30 mm and as wide as 60,
also in a copy; tests/drivers/contact does it, and is there to look at them with."""
import os
import subprocess
import sys
import tempfile

DRIVER = ".build/drivers/contact"
CASES = (["30"], ["45"], ["60"], ["45", "copy"])

failed = 0
for case in CASES:
    with tempfile.TemporaryDirectory() as folder:
        run = subprocess.run([DRIVER, folder, *case], capture_output=True, text=True)
        sheets = [name for name in os.listdir(folder) if name.endswith(".png")]
        if run.returncode or not sheets:
            failed += 1
            print(f"contact {' '.join(case)}: {run.stderr.strip() or 'no sheets'}")
print(f"{len(CASES) - failed} passed, {failed} failed")
sys.exit(1 if failed else 0)
