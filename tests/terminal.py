#!/usr/bin/env python3
"""At a terminal: colours and their absence, passwords that are typed unseen, the watch of a night as wide as the
window; and the same words where no terminal is."""
import fcntl
import os
import pty
import re
import select
import shutil
import struct
import subprocess
import tempfile
import termios
import time

from tally import end, expect

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
PROGRAM = os.path.join(ROOT, ".build", "dosewright")
CLINIC = os.path.join(ROOT, "samples/lantern-cove")
WRONG = os.path.join(ROOT, "samples/wrong/protocols/no-window.yaml")
NIGHT = "2026-11-24T20:00-04:00"
TWELVE = "three words do"


def at_terminal(words, answers=(), columns=80, seconds=30, **environment):
    """(exit status, all that the terminal shows) of a command whose every stream is a terminal.  answers:
    (what is waited for, what is typed then)."""
    outer, inner = pty.openpty()
    fcntl.ioctl(inner, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    bare = {name: value for name, value in os.environ.items() if name != "NO_COLOR"}
    process = subprocess.Popen([PROGRAM, *words], stdin=inner, stdout=inner, stderr=inner, start_new_session=True,
                               env=bare | environment)
    os.close(inner)
    shown, answers, until = b"", list(answers), time.monotonic() + seconds
    while time.monotonic() < until:
        if answers and answers[0][0].encode() in shown.split(b"\n")[-1]:
            time.sleep(0.05) # until the echo is off
            os.write(outer, answers.pop(0)[1].encode())
        if select.select([outer], [], [], 0.1)[0]:
            try:
                shown += os.read(outer, 65536)
            except OSError: # the last one has closed it
                break
    process.kill() if process.poll() is None and time.monotonic() >= until else None
    os.close(outer)
    return process.wait(), shown.decode(errors="replace")


def colours():
    words = ["check", "--now", NIGHT, WRONG]
    plain = at_terminal(words, NO_COLOR="1")[1]
    for name, environment, wanted in (("at a terminal", {}, True), ("NO_COLOR", {"NO_COLOR": "1"}, False),
                                      ("an empty NO_COLOR", {"NO_COLOR": ""}, True)):
        status, shown = at_terminal(words, **environment)
        expect(f"colours: {name}", status == 1 and ("\x1b[" in shown) == wanted, shown[:200])
        expect(f"the same words: {name}", re.sub("\x1b\\[[0-9;]*m", "", shown) == plain, shown[:300])


def people(folder):
    """What a password is typed for, and what is shown of it: nothing."""
    def ask(*words, answers=()):
        status, shown = at_terminal(["people", *words, "--clinic", folder], answers)
        expect(f"people {words}: nothing of a password is shown", TWELVE not in shown and "elevenwords" not in shown, shown)
        return status, shown
    add = ("add", "--role", "nurse", "K. Madeup")
    first, again = "password: ", "the same again: "
    for name, typed, message in (
            ("two that differ", ((first, TWELVE + "\n"), (again, TWELVE + "x\n")), "the two passwords differ"),
            ("one that is short", ((first, "elevenwords\n"),), "12 letters or more"),
            ("none", ((first, "\x04"),), "no password was typed"),
            ("one without its end", ((first, "\n"),), "12 letters or more"),
            ("one too long", ((first, "long words " * 30 + "\n"),), "200 letters at most"),
            ("her name within", ((first, "my k. madeup word\n"),), "does not hold the person's name")):
        status, shown = ask(*add, answers=typed)
        expect(f"people add: {name}", status == 2 and message in shown, (status, shown))
    status, shown = ask(*add, answers=((first, TWELVE + "\n"), (again, TWELVE + "\n")))
    expect("people add: typed twice", status == 0 and "K. Madeup: added" in shown, (status, shown))
    status, shown = ask("password", "K. Madeup", answers=((first, TWELVE + " more\n"), (again, TWELVE + " more\n")))
    expect("people password", status == 0 and "password changed" in shown, (status, shown))


def refused_people(folder):
    """Without a terminal, and with words that no name or role can be."""
    def people_(*words, typed=TWELVE + "\n"):
        done = subprocess.run([PROGRAM, "people", *words, "--clinic", folder], input=typed, capture_output=True, text=True, timeout=60)
        return done.returncode, done.stdout + done.stderr
    for words, typed, message in (
            (("add", "--role", "nurse", ""), "", "a name is one line"), (("add", "--role", "nurse", " K"), "", "a name is one line"),
            (("add", "--role", "nurse", "K "), "", "a name is one line"), (("add", "--role", "nurse", "K" * 101), "", "a name is one line"),
            (("add", "--role", "nurse", "K\nM"), "", "a name is one line"),
            (("add", "--role", "nurse", b"K\xff"), "", "a name is one line"),
            (("add", "--role", "nurse", "N. Obody"), "", "not among the nurses"),
            (("add", "--role", "physician", "N. Obody"), "", "not among the physicians"),
            (("add", "--role", "porter", "N. Obody"), "", 'there is no role "porter"'), (("add", "N. Obody"), "", "say with --role"),
            (("add", "--role", "night-phone", "N. Obody"), "", "no password was typed"),
            (("add", "--role", "night-phone", "N. Obody"), "short", "12 letters or more"),
            (("remove", "N. Obody"), "", 'nobody is called "N. Obody"'), (("roles", "--role", "porter", "K. Madeup"), "", "no role")):
        status, said = people_(*words, typed=typed)
        expect(f"people {words}", status == 2 and message in said, (status, said))
    status, said = people_("add", "--role", "night-phone", "N. Obody", typed=TWELVE) # without a line's end
    expect("people add: from a pipe", status == 0 and "N. Obody: added" in said, (status, said))
    status, said = people_("list")
    expect("people list", status == 0 and "N. Obody: night-phone" in said, said)
    os.chmod(folder, 0o500)
    if not os.access(folder, os.W_OK):
        status, said = people_("remove", "N. Obody")
        expect("people: a folder that cannot be written", status == 3 and "N. Obody: removed" not in said, (status, said))
    os.chmod(folder, 0o700)


def watch():
    """One screen of a time that was typed in, cleared first, and no wider than the window."""
    words = ["night", "--watch", "--now", NIGHT, f"{CLINIC}/patients"]
    piped = subprocess.run([PROGRAM, *words], capture_output=True, text=True, timeout=60).stdout
    expect("the watch: without a terminal nothing is cleared", "\x1b" not in piped and "LC-2041" in piped, piped[:200])
    for columns in (60, 132):
        _, shown = at_terminal(words, columns=columns)
        lines = re.sub("\x1b\\[[0-9;]*[A-Za-z]", "", shown).splitlines()
        widest = max(map(len, lines), default=0)
        expect(f"the watch in {columns} columns", shown.startswith("\x1b[H\x1b[J") and "LC-2041" in shown and 0 < widest <= columns,
               (widest, shown[:200]))
    _, shown = at_terminal(words, columns=0)
    expect("the watch of a window that says no width", re.sub("\x1b\\[[0-9;]*[A-Za-z]", "", shown).splitlines()[:3] == piped.splitlines()[:3],
           shown[:300])
    _, shown = at_terminal(["night", "--watch", f"{CLINIC}/patients"], seconds=2.5) # no time typed in: it stays
    expect("the watch goes on", shown.count("\x1b[H\x1b[J") >= 2, shown[:200])


try:
    for end_of_it in pty.openpty():
        os.close(end_of_it)
except OSError as error: # a bare root in which /dev/pts is not mounted
    print(f"not tried: no terminal can be had here ({error})")
    raise SystemExit(0)
colours()
with tempfile.TemporaryDirectory() as scratch:
    clinic = os.path.join(scratch, "clinic")
    shutil.copytree(CLINIC, clinic)
    people(clinic)
    refused_people(clinic)
watch()
end()
