#!/usr/bin/env python3
"""The desk as a service: the unit that "make install" brings is sound and closed (systemd's own
"systemd-analyze verify" and "security", where they are installed), and its sandbox leaves the desk
what it does: every call of the system that strace sees while pages are shown, kept and printed is
among those that the unit allows, and no memory is both written and run.  usage: tests/service.py"""
import ctypes
import glob
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile

import desk
from desk import PROGRAM, ROOT

EXPOSURE = 1.4 # of 10; what stays open: the network, its own folder, setrlimit for its children
UNIT = "usr/local/lib/systemd/system/dosewright-desk.service"


def installed(folder):
    done = subprocess.run(["make", "-s", "--no-print-directory", "install-built", f"DESTDIR={folder}", "PREFIX=/usr/local"],
                          cwd=ROOT, capture_output=True, text=True)
    if done.returncode:
        sys.exit(f"make install: {done.stdout}{done.stderr}")
    with open(os.path.join(folder, UNIT), encoding="utf-8") as file:
        return file.read()


def check_unit(folder, text, faults):
    """ExecStart is the installed program, whose options its help names; systemd finds nothing to say."""
    start = re.search(r"^ExecStart=(/\S+) (\w+) (.*)$", text, re.M)
    told = subprocess.run([PROGRAM, start.group(2), "--help"], capture_output=True, text=True).stdout
    if not os.access(folder + start.group(1), os.X_OK) or "@" in start.group(0):
        faults.append(f"ExecStart: {start.group(0)}")
    faults += [f"no option {option}" for option in re.findall(r"--[a-z]+", start.group(3)) if option not in told]
    if not shutil.which("systemd-analyze"):
        return "systemd-analyze is not installed: the unit was not judged"
    path = os.path.join(folder, "dosewright-desk.service")
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace(start.group(1), folder + start.group(1)))
    said = subprocess.run(["systemd-analyze", "verify", "--man=no", path], capture_output=True, text=True)
    if said.returncode or "dosewright" in said.stderr:
        faults.append(f"systemd-analyze verify: {said.stderr}")
    said = subprocess.run(["systemd-analyze", "security", "--offline=true", "--no-pager", path], capture_output=True, text=True)
    figure = re.search(r"exposure level for \S+: ([\d.]+)", said.stdout)
    if not figure or float(figure.group(1)) > EXPOSURE:
        faults.append(f"systemd-analyze security: {said.stdout[-200:]}{said.stderr}")
    return f"exposure {figure.group(1) if figure else '?'} of 10"


def calls_of(names):
    """The calls of these sets of systemd's, sets within them too."""
    said = subprocess.run(["systemd-analyze", "syscall-filter", "--no-pager", *names], capture_output=True, text=True).stdout
    words = {line.strip() for line in said.splitlines() if line.startswith("    ") and "#" not in line}
    sets = {word for word in words if word.startswith("@")}
    return (words - sets) | (calls_of(sorted(sets)) if sets else set())


def allowed(text):
    calls = set()
    for line in re.findall(r"^SystemCallFilter=(.*)$", text, re.M):
        words = line.lstrip("~").split()
        named = calls_of([word for word in words if word.startswith("@")]) if "@" in line else set()
        named |= {word for word in words if not word.startswith("@")}
        calls = calls - named if line.startswith("~") else calls | named
    return calls


def refuse_written_code():
    """What MemoryDenyWriteExecute does, for this process and those it starts: Linux has it since 6.3."""
    return ctypes.CDLL(None).prctl(65, 1, 0, 0, 0) == 0 # PR_SET_MDWE, PR_MDWE_REFUSE_EXEC_GAIN


def walk(folder, traced):
    """A night, a call noted, a person kept, looked at and printed, under strace."""
    wrapper = os.path.join(folder, "traced")
    with open(wrapper, "w", encoding="utf-8") as file:
        file.write(f'#!/bin/sh\nexec strace -f -qq -ff -e signal=none -o {traced} {PROGRAM} "$@"\n')
    os.chmod(wrapper, 0o755)
    clinic = os.path.join(folder, "clinic")
    desk.PEOPLE[:] = desk.PEOPLE[2:]
    desk.clinic_into(clinic)
    desk.PROGRAM = wrapper
    server = desk.Server(clinic, "2026-11-24T14:00-04:00")
    browser = desk.Browser(server, server.link).sit()
    seen = [browser.get("/night.pdf").status]
    seen.append(desk.note(browser, "LC-2041", said="Asked where the ampoule opens.").status)
    seen.append(browser.get("/person/LC-2041/page.png").status)
    seen.append(browser.get("/person/LC-2041").status)
    seen.append(browser.send("/person/LC-2041/move", day="", hour="11:45 am").status)
    desk.PROGRAM = PROGRAM
    os.killpg(server.process.pid, signal.SIGTERM) # strace itself waits for the desk
    server.process.wait(60)
    return seen


def check_calls(folder, text, faults):
    if not shutil.which("strace") or not shutil.which("systemd-analyze"):
        return "strace or systemd-analyze is not installed: the calls were not compared"
    traced = os.path.join(folder, "trace")
    closed = refuse_written_code()
    seen = walk(folder, traced)
    if seen != [200, 303, 200, 200, 200]:
        faults.append(f"the desk under strace: {seen}")
    calls = set()
    for path in glob.glob(traced + ".*"):
        with open(path, encoding="utf-8", errors="replace") as file:
            lines = file.read()
        calls |= set(re.findall(r"^(\w+)\(", lines, re.M))
        # What compiles patterns goes on without when it is refused.
        for line in re.findall(r"^(?:mmap|mprotect)\(.*PROT_WRITE\|PROT_EXEC.*= 0x.*", lines, re.M) if closed else ():
            faults.append(f"memory written and run: {line}")
    # systemd-analyze knows the calls of its release; a newer one would be refused as unknown.
    # SQLite gives a file to its folder's owner when it runs as root, which the service never does.
    beyond = calls - allowed(text) - ({"fchown"} if os.geteuid() == 0 else set())
    if beyond or len(calls) < 50:
        faults.append(f"the unit does not allow: {sorted(beyond)} (of {len(calls)} calls)")
    return f"{len(calls)} calls of the system are allowed"


def main():
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        text = installed(folder)
        judged = check_unit(folder, text, faults)
        compared = check_calls(folder, text, faults)
    print("\n".join(faults) or f"service: {judged}; {compared}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
