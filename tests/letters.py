#!/usr/bin/env python3
"""The letters that check takes for ordinary (compiler/commands/letters.c) are in the fonts of
every language's sheets, and one that no font has is named."""
import glob
import os
import subprocess
import sys
import unicodedata

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
RANGES = [(0x20, 0x7F), (0xA0, 0x180), (0x2010, 0x2015), (0x2018, 0x201F), (0x2026, 0x2027)]
letters = [chr(code) for low, high in RANGES for code in range(low, high)
           if unicodedata.category(chr(code)) not in ("Cc", "Cf", "Cn")
           and code != 0x149]
faults, count = [], 0
for path in sorted(glob.glob("templates/languages/*.yaml")):
    tag = os.path.basename(path)[:-5]
    done = subprocess.run([".build/dosewright", "letters", "--", tag, *letters, "\ue000"],
                          capture_output=True, text=True)
    lines = done.stdout.split("\n")[:-1]
    count += len(lines)
    if len(lines) != len(letters) + 1:
        faults.append(f"{tag}: {len(lines)} answers to {len(letters) + 1} texts: {done.stderr}")
    faults += [f"{tag}: {letter!r} {line}" for letter, line in zip(letters, lines) if line != "all there"]
    if lines[-1:] != ["U+E000"]:
        faults.append(f"{tag}: a private letter is {lines[-1:]}")
print("\n".join(faults))
print(f"{count - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults or count < 1000 else 0)
