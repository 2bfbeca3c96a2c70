#!/usr/bin/env python3
"""One call of the system fails, each in turn, in a whole program: every open, read, write, fsync,
rename, link, mkdir and fork on the files of a clinic, of the templates and of the output folder
(.build/drivers/fail.so).  After each: an earlier file is what it was, what is new is all of what
an undisturbed run leaves or none of it, and the exit status is 3 with a message, or 0 with
everything there.

And each signal at each of these calls: all files of a person or none, and the earlier one; what is killed
outright may leave parts, and whole files.

And a loss of power at any moment: every call that writes, makes durable or names is followed in its order.
What a disk may still lose is what was not synced, so a file must be synced before it gets a name that lasts,
and its folder after, before the program says that all is well.

usage: tests/faults.py [all]    without "all" every call of "check" and some of "sheet"; with it
every call of check and sheet, and of "day" (1,309 calls for two people) every tenth"""
import glob
import os
import shutil
import signal
import subprocess
import sys
import tempfile

from failing import SHIM, each_call, failing

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = os.path.abspath(".build/dosewright")
NOW = "2026-11-23T10:00-04:00"
BOX = "chorionic gonadotropin 10,000 units"
ROSTER = f"""code,name,protocol,order,sheet,prepared by,date,time,allergies,bleeding,by,"lot of {BOX}","expires of {BOX}"
LC-2101,Maren T.,evening-trigger,R-1124-21,41,P. Invented,Thursday 2026-11-26,8:00 am,none,none,helper,A1234,2027-08
LC-2102,Orla B.,evening-trigger,R-1124-22,42,P. Invented,Thursday 2026-11-26,8:30 am,none,none,helper,A1234,2027-08
"""
SCENES = {
    "check": ["check", "--now", NOW, "clinic/patients/LC-2041.yaml"],
    "sheet": ["sheet", "--now", NOW, "--text", "--calendar", "--templates", "templates", "--out", "out",
              "clinic/patients/LC-2041.yaml"],
    "day": ["day", "--now", NOW, "--jobs", "1", "--templates", "templates", "--out", "out", "clinic/today.csv"],
}
# A file of the day's folder may stand there without the others, and what is put together from those that
# were printed may be that of fewer people: a second run completes them.
PIECEWISE = {"day"}
PUT_TOGETHER = {"day.note", "summary.txt", "print.pdf", "slips.pdf"}


def contents(folder):
    found = {}
    for path in glob.glob(folder + "/**/*", recursive=True):
        if os.path.isfile(path):
            with open(path, "rb") as file:
                found[os.path.relpath(path, folder)] = file.read()
    return found


def states(folder):
    """Of every file and folder below it: what a write would change."""
    found = {}
    for where, _, names in os.walk(folder):
        for path in [where, *(os.path.join(where, name) for name in names)]:
            is_ = os.stat(path, follow_symlinks=False)
            found[path] = (is_.st_ino, is_.st_size, is_.st_mtime_ns, is_.st_ctime_ns)
    return found


class Scene:
    """One command in a folder of its own; what it reads is made anew for a run when the one before wrote there."""

    def __init__(self, name, scratch):
        self.name, self.folder, self.read = name, os.path.join(scratch, name), None

    def make(self):
        shutil.rmtree(self.folder, ignore_errors=True)
        shutil.copytree("samples/lantern-cove", self.folder + "/clinic")
        shutil.copytree("templates", self.folder + "/templates")
        with open(self.folder + "/clinic/today.csv", "w", encoding="utf-8") as file:
            file.write(ROSTER)
        self.read = self.what_is_read()

    def what_is_read(self):
        return {**states(self.folder + "/clinic"), **states(self.folder + "/templates")}

    def prepare(self):
        if not self.read or self.what_is_read() != self.read:
            self.make()
        for name in set(os.listdir(self.folder)) - {"clinic", "templates"}:
            path = os.path.join(self.folder, name)
            (shutil.rmtree if os.path.isdir(path) else os.remove)(path)
        if "--out" in SCENES[self.name]:
            os.makedirs(self.folder + "/out")
            with open(self.folder + "/out/earlier.pdf", "wb") as file:
                file.write(b"an earlier sheet")

    def completed(self):
        """What is there after the same command once more, undisturbed."""
        subprocess.run([PROGRAM, *SCENES[self.name]], cwd=self.folder, capture_output=True, timeout=300)
        return contents(self.folder + "/out")

    def traced(self):
        """(exit status, each call that went well: its name and one path or two)"""
        self.prepare()
        trace = self.folder + ".trace"
        environment = dict(os.environ, LD_PRELOAD=SHIM, FAIL_TRACE=trace, FAIL_UNDER=self.folder + "/")
        done = subprocess.run([PROGRAM, *SCENES[self.name]], cwd=self.folder, capture_output=True, env=environment, timeout=300)
        with open(trace, encoding="utf-8") as file:
            rows = [line.rstrip("\n").split(" ", 1) for line in file]
        return done.returncode, [(call, *(os.path.join(self.folder, path) for path in paths.split("\t"))) for call, paths in rows]

    def run(self, number, error=0):
        """(exit status, what it said, how many calls there were, what failed)"""
        self.prepare()
        return failing([PROGRAM, *SCENES[self.name]], self.folder, number, error)


def fault(scene, whole, status, said):
    """What is wrong with what a failing call left, or None."""
    left = contents(scene.folder + "/out")
    if "out" in SCENES[scene.name] and left.pop("earlier.pdf", None) != b"an earlier sheet":
        return "an earlier file is lost"
    odd = [name for name, data in left.items() if whole.get(name) != data]
    if odd and not (scene.name in PIECEWISE and set(odd) <= PUT_TOGETHER):
        return f"left half a file: {odd}"
    # The summary says which were printed before.
    if scene.name in PIECEWISE and {**scene.completed(), "summary.txt": 0} != {**whole, "earlier.pdf": b"an earlier sheet", "summary.txt": 0}:
        return "a second run does not complete it"
    if status == 0:
        return None if set(left) == set(whole) else "exit 0 and not everything is there"
    if left and set(left) != set(whole) and scene.name not in PIECEWISE:
        return f"left a part: {sorted(left)}"
    if status != 3:
        return f"exit status {status}"
    return None if said.strip() else "says nothing"


def lost_without_power(calls):
    """What a loss of power could leave half, after which call; what of it is not durable at the end."""
    unsynced, unnamed, found = set(), {}, []
    for number, (call, *paths) in enumerate(calls):
        if ".db" in os.path.basename(paths[-1]):
            continue  # SQLite looks after its own
        if call == "write":
            unsynced.add(paths[0])
        elif call == "fsync":
            unsynced.discard(paths[0])
            unnamed.pop(paths[0], None)
        else:
            if paths[0] in unsynced:
                found.append(f"call {number}: {call} of {paths[0]}, whose bytes are not on the disk, to {paths[1]}")
            unnamed.setdefault(os.path.dirname(paths[1]), paths[1])
    last = [path for path in unsynced if not path.endswith(".part")]
    return found + [f"never synced: {path}" for path in last] + [f"a name never synced: {path}" for path in unnamed.values()]


def power(name, scratch):
    """(how many calls were followed, faults)"""
    status, calls = Scene(name, scratch).traced()
    found = lost_without_power(calls)
    careless = lost_without_power([call for call in calls if call[0] != "fsync"])
    if not careless:
        found.append("a program that never syncs would pass")
    return len(calls), [f"{name}: power: {one}" for one in found] + ([f"{name}: exit {status} traced"] if status else [])


SIGNALS = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGKILL)


def signalled(name, scratch, step):
    """(how many signals were sent, faults)"""
    scene, tried, faults = Scene(name, scratch), 0, []
    _, _, calls, _ = scene.run(0)
    whole = contents(scene.folder + "/out")
    for number in range(1, calls + 1, step):
        for kind in SIGNALS:
            status, said, _, sent = scene.run(number, -kind)
            left = contents(scene.folder + "/out")
            parts = [part for part in os.listdir(scene.folder + "/out") if part.startswith(".")]
            tried += bool(sent)
            odd = [path for path, data in left.items() if whole.get(path) != data]
            none_or_all = set(left) in ({"earlier.pdf"}, set(whole)) and not parts
            if odd or "earlier.pdf" not in left or not (none_or_all or kind == signal.SIGKILL):
                faults.append(f"{name}, call {number}, {sent}, {kind.name}: {sorted(left)} {parts}")
            if sent and status not in (-kind, 0):
                faults.append(f"{name}, call {number}, {sent}, {kind.name}: exit {status}")
    return tried, faults


def try_all(name, scratch, step):
    scene = Scene(name, scratch)
    status, said, calls, _ = scene.run(0)
    if status:
        return 0, [f"{name}: exit {status} undisturbed: {said[-400:]}"]
    whole = contents(scene.folder + "/out")
    whole.pop("earlier.pdf", None)
    return each_call(name, scene.run, range(1, calls + 1, step), lambda status, said: fault(scene, whole, status, said))


def main():
    everything = "all" in sys.argv[1:]
    steps = {"check": 1, "sheet": 1, "day": 10} if everything else {"check": 1, "sheet": 6}
    tried, faults = {}, []
    with tempfile.TemporaryDirectory() as scratch:
        for name in ("sheet", "day"):
            tried[name + " followed"], more = power(name, scratch)
            faults += more
        tried["signals in sheet"], more = signalled("sheet", scratch, 1 if everything else 17)
        faults += more
        for name, step in steps.items():
            tried[name], more = try_all(name, scratch, step)
            faults += more
    print("\n".join(faults))
    print(", ".join(f"{name}: {count}" for name, count in tried.items()) + f", {len(faults)} faults")
    return 1 if faults or not all(tried.values()) else 0


if __name__ == "__main__":
    sys.exit(main())
