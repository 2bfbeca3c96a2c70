#!/usr/bin/env python3
"""Completions as bash and zsh take them: bash offers every command and every option of the help, and
files where a file belongs; zsh reads its own file without a fault and knows as many."""
import os
import re
import subprocess
import sys
import tempfile

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = ".build/dosewright"
faults = []


def said(*words, **options):
    return subprocess.run(words, capture_output=True, text=True, **options)


def offered(script, *words):
    """What bash offers for the last of these words."""
    line = f". {script}; COMP_WORDS=({' '.join(words)}); COMP_CWORD={len(words) - 1}; _dosewright; printf '%s\\n' \"${{COMPREPLY[@]}}\""
    done = said("bash", "-c", line)
    if done.stderr:
        faults.append(f"bash says {done.stderr.strip()}")
    return set(done.stdout.split())


def expect(what, found, wanted):
    if found != wanted:
        faults.append(f"{what}: {sorted(found)}, and {sorted(wanted)} was expected")


commands = set(re.findall(r"^  ([a-z][a-z-]*) +[a-z]", said(PROGRAM, "--help").stdout, re.M)) - {"dosewright"}
options = set()
for command in commands: # whichever command has it
    options |= set(re.findall(r"^  (?:-\w, )?(--[a-z-]+)", said(PROGRAM, command, "--help").stdout, re.M))
if len(commands) < 20 or len(options) < 30:
    faults.append(f"only {len(commands)} commands and {len(options)} options")
with tempfile.TemporaryDirectory() as scratch:
    for shell in ("bash", "zsh"):
        with open(f"{scratch}/{shell}", "w", encoding="utf-8") as file:
            file.write(said("compiler/commands/completions", PROGRAM, shell).stdout)
    script = scratch + "/bash"
    expect("commands", offered(script, "dosewright", "''"), commands)
    expect("commands that begin with sh", offered(script, "dosewright", "sh"), {"sheet"})
    expect("options", offered(script, "dosewright", "sheet", "--"), options)
    expect("files", offered(script, "dosewright", "check", "samples/today"), {"samples/today"})
    parsed = said("zsh", "-n", scratch + "/zsh")
    with open(scratch + "/zsh", encoding="utf-8") as file:
        zsh = file.read()
    if parsed.returncode or parsed.stderr:
        faults.append(f"zsh cannot read its completions: {parsed.stderr}")
    expect("commands of zsh", set(re.findall(r"^    '([a-z][a-z-]*):", zsh, re.M)), commands)
    expect("options of zsh", set(re.findall(r"^    '(--[a-z-]+)=?\[", zsh, re.M)), options)
print("\n".join(faults))
print(f"{len(commands)} commands, {len(options)} options, {len(faults)} faults")
sys.exit(1 if faults else 0)
