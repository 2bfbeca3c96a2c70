#!/usr/bin/env python3
"""What the programs can still reach while they work: .build/drivers/escape.so (tests/confine/escape.c)
is loaded with each command and tries, at its end, to read and write elsewhere and to call what only an
attacker would call.  Errors by errno(3): EACCES is Landlock's, EPERM that of the list of calls
(Linux: Documentation/userspace-api/landlock.rst and seccomp_filter.rst).  A kernel without one of the
two is named, and what needs it is passed over.  usage: tests/confine.py"""
import csv
import ctypes
import errno
import glob
import os
import re
import select
import signal
import shutil
import subprocess
import tempfile

from tally import end, expect

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = os.path.abspath(".build/dosewright")
ESCAPE = os.path.abspath(".build/drivers/escape.so")
NOW = ("--now", "2026-11-23T10:00-04:00")
CALLS = ["packets", "trace", "memory", "mount", "namespace", "clone", "kernel", "ring", "keys", "typing"]
NETWORK = ["internet", "local"]


def held():
    """(version of Landlock or 0, whether calls can be closed), asked of the kernel by the numbers that
    landlock_create_ruleset(2) and prctl(2) have on every machine; the program must say the same."""
    c = ctypes.CDLL(None)
    landlock = max(0, c.syscall(444, None, ctypes.c_size_t(0), 1))
    calls = c.prctl(21, 0, 0, 0, 0) >= 0
    said = subprocess.run([PROGRAM, "--version"], capture_output=True, text=True, check=True).stdout
    files = f"files by Landlock {landlock}" if landlock else "files are not"
    expect("--version", f"closed while it works: {files}, calls {'by seccomp' if calls else 'are not'}\n" in said, said)
    return landlock, calls


def escapes(words, folder, reads, writes, **more):
    """What the attempts of escape.so gave: {attempt: errno}; the run itself."""
    log = os.path.join(folder, "escape.log")
    if os.path.exists(log):
        os.remove(log)
    environment = dict(os.environ, LD_PRELOAD=ESCAPE, ESCAPE_LOG=log, ESCAPE_READ=":".join(reads), ESCAPE_WRITE=":".join(writes))
    done = subprocess.run([PROGRAM, *words], capture_output=True, text=True, env=environment, timeout=120, **more)
    with open(log, encoding="utf-8") as file:
        seen = dict(line.rsplit(" ", 1) for line in file.read().splitlines())
    expect(f"{words[0]}: tried", len(seen) == len(reads) + len(writes) + len(CALLS) + len(NETWORK) + 2, seen)
    return {name: int(error) for name, error in seen.items()}, done


def commands(folder):
    """name, words, further folders that may be written, whether another program is started, whether files are from outside."""
    clinic, out = f"{folder}/clinic", f"{folder}/out"
    person = f"{clinic}/patients/LC-2041.yaml"
    yield "check", ("check", *NOW, person), (), True, False
    yield "plan", ("plan", *NOW, person), (), False, False
    yield "compare", ("compare", *NOW, f"{clinic}/protocols/evening-trigger.yaml", f"{clinic}/protocols/evening-trigger.yaml"), (), False, False
    yield "sheet", ("sheet", *NOW, "--out", out, person), (out, clinic), False, False
    yield "read", ("read", "--clinic", clinic, glob.glob(f"{out}/LC-2041-*.pdf")[0]), (), False, True
    yield "day", ("day", *NOW, "--out", f"{folder}/day", f"{clinic}/today.csv"), (f"{folder}/day", clinic), False, False
    yield "night", ("night", "--now", "2026-11-24T20:00-04:00", "--out", out, f"{clinic}/patients"), (out, clinic), False, False
    yield "review", ("review", *NOW, "--out", out, clinic), (out, clinic), False, False
    yield "record", ("record", "verify", "--clinic", clinic), (clinic,), False, False
    yield "people", ("people", "list", "--clinic", clinic), (clinic,), False, False
    yield "rule-book", ("rule-book", "--out", out), (out,), False, False
    yield "explain", ("explain", "off_the_mark"), (), False, False


def open_still(seen, names):
    return [name for name in names if seen.get(name) == 0]


def check_command(folder, case, landlock, calls):
    name, words, writable, starts, outside = case
    clinic, secret = f"{folder}/clinic", f"{folder}/secret"
    inside = f"{clinic}/clinic.yaml"
    writes = [f"{place}/attempt" for place in (clinic, f"{folder}/out", f"{folder}/day", f"{folder}/else", "/var/tmp")]
    seen, done = escapes(words, folder, ["/etc/passwd", secret, inside], writes, cwd=f"{folder}/here")
    expect(f"{name}: it works", done.returncode in ((1,) if name == "night" else (0,)) and not re.search("denied|permitted", done.stderr), done.stderr[-400:])
    if landlock:
        expect(f"{name}: reads what is named", name in ("rule-book", "explain") or seen[f"read:{inside}"] == 0, seen)
        expect(f"{name}: reads elsewhere", not open_still(seen, ["read:/etc/passwd", f"read:{secret}"]), seen)
        allowed = {f"write:{place}/attempt" for place in writable}
        let = set(open_still(seen, [f"write:{path}" for path in writes]))
        expect(f"{name}: writes where it must and nowhere else", let == allowed, f"{sorted(let)} and not {sorted(allowed)}")
    if landlock >= 6 and not outside:
        expect(f"{name}: signals to others", seen["signal"] == errno.EPERM, seen)
    if calls:
        closed = CALLS + NETWORK + ([] if starts else ["start"])
        wanted = {errno.EPERM, errno.ENOSYS} if outside else {errno.EPERM}
        other = {what: seen.get(what) for what in closed if seen.get(what) not in wanted}
        expect(f"{name}: calls", not other, other)
    if starts and landlock:
        expect(f"{name}: starts other programs", seen["start"] == errno.EACCES, seen)
    for path in writes:
        if os.path.exists(path):
            os.remove(path)


def check_desk(folder, landlock, calls):
    """The server's limits are its children's, who are forked after it has closed itself."""
    clinic, log = f"{folder}/clinic", f"{folder}/escape.log"
    os.remove(log)
    environment = dict(os.environ, LD_PRELOAD=ESCAPE, ESCAPE_LOG=log, ESCAPE_READ=f"/etc/passwd:{folder}/secret",
                       ESCAPE_WRITE=f"{clinic}/attempt:{folder}/out/attempt")
    with subprocess.Popen([PROGRAM, "desk", "--clinic", clinic], stdout=subprocess.PIPE, env=environment) as server:
        begun = select.select([server.stdout], [], [], 60)[0] and server.stdout.readline()
        server.send_signal(signal.SIGTERM)
        server.wait(60)
    with open(log, encoding="utf-8") as file:
        seen = {name: int(error) for name, error in (line.rsplit(" ", 1) for line in file.read().splitlines())}
    expect("desk: it works", b"http" in begun and server.returncode == 0, f"{begun} {server.returncode}")
    if landlock:
        closed = ["read:/etc/passwd", f"read:{folder}/secret", f"write:{folder}/out/attempt"]
        expect("desk: files", [seen.get(what) for what in closed] == [errno.EACCES] * 3 and seen[f"write:{clinic}/attempt"] == 0, seen)
    if calls:
        other = {what: seen.get(what) for what in [*CALLS, "start"] if seen.get(what) != errno.EPERM}
        expect("desk: calls", not other and not open_still(seen, ["packets"]), other)
        expect("desk: its sockets", seen["internet"] == seen["local"] == 0, seen)


def check_links(folder, landlock):
    """A link that leads out of what was named is not followed, and said so; one of a whole shelf is."""
    clinic = f"{folder}/linked"
    shutil.copytree("samples/lantern-cove", clinic)
    os.rename(f"{clinic}/patients/LC-2041.yaml", f"{folder}/elsewhere.yaml")
    os.symlink(f"{folder}/elsewhere.yaml", f"{clinic}/patients/LC-2041.yaml")
    os.makedirs(f"{folder}/stock")
    os.rename(f"{clinic}/shelf.yaml", f"{folder}/stock/shelf.yaml")
    os.symlink(f"{folder}/stock/shelf.yaml", f"{clinic}/shelf.yaml")
    named = subprocess.run([PROGRAM, "check", *NOW, f"{clinic}/patients/LC-2041.yaml"], capture_output=True, text=True)
    expect("a link that is named, and a linked shelf", named.returncode == 0, named.stderr[-300:])
    whole = subprocess.run([PROGRAM, "check", *NOW, f"{clinic}/patients"], capture_output=True, text=True)
    said = "it is a link out of the folders that were named" in whole.stderr
    expect("a link within a folder", whole.returncode == 3 and said if landlock else whole.returncode == 0, whole.stderr[-300:])


def unnumbered(clinic):
    """A record gives out the numbers: those of the samples are taken out."""
    for path in glob.glob(f"{clinic}/patients/*.yaml"):
        with open(path, encoding="utf-8") as file:
            lines = file.readlines()
        with open(path, "w", encoding="utf-8") as file:
            file.writelines(line for line in lines if not line.startswith("sheet:"))
    with open(f"{clinic}/today.csv", encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    at = rows[0].index("sheet")
    with open(f"{clinic}/today.csv", "w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(row[:at] + row[at + 1:] for row in rows)


def main():
    landlock, calls = held()
    if not landlock or not calls:
        print(f"SKIPPED in part: this kernel has {'no Landlock' if not landlock else ''} {'no seccomp' if not calls else ''}")
    with tempfile.TemporaryDirectory() as folder:
        clinic = f"{folder}/clinic"
        shutil.copytree("samples/lantern-cove", clinic)
        with open(f"{clinic}/clinic.yaml", "a", encoding="utf-8") as file:
            file.write("\nrecord: record.db\n")
        unnumbered(clinic)
        for name in ("out", "day", "else", "here"):
            os.makedirs(f"{folder}/{name}")
        with open(f"{folder}/secret", "w", encoding="utf-8") as file:
            file.write("of another person")
        for case in commands(folder):
            check_command(folder, case, landlock, calls)
        check_desk(folder, landlock, calls)
        check_links(folder, landlock)
    end()


if __name__ == "__main__":
    main()
