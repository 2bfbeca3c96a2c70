#!/usr/bin/python3
"""What a hostile file, folder, environment or moment may not do: wait for ever, move an
hour, reach the terminal raw, leave half of a person's files, or look like a mistake of
the program.  usage: tests/hostile.py"""
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import tempfile
import time
import zlib

from tally import end, expect

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
PROGRAM = os.path.abspath(".build/dosewright")
NOW = ("--now", "2026-11-23T10:00-04:00")
PATIENT = "samples/lantern-cove/patients/LC-2041.yaml"
PROTOCOL = "samples/lantern-cove/protocols/evening-trigger.yaml"


def run(*words, **more):
    return subprocess.run([PROGRAM, *words], capture_output=True, timeout=60, **more)


def raw(data):
    """Bytes that a terminal would obey or hide: controls, C1, bidirectional, invisible."""
    text = data.decode("utf-8", "surrogateescape")
    return [c for c in text if c != "\n" and (ord(c) < 32 or 0x7F <= ord(c) < 0xA0 or c in "\u200b\u202e\u2066\u2069\ufeff"
                                              or 0xDC80 <= ord(c) <= 0xDCFF)]


def inputs(scratch):
    """Pipes, devices, folders and endless files are refused at once."""
    pipe = os.path.join(scratch, "pipe.yaml")
    os.mkfifo(pipe)
    for name, words in (("a pipe", ("check", pipe)), ("a device", ("check", "/dev/zero")), ("a pipe to read", ("read", pipe)),
                        ("a device as earlier lines", ("review", "--since", "/dev/zero", "--out", scratch, "samples")),
                        ("a folder to read", ("read", scratch))):
        done = run(*words)
        expect(name, done.returncode == 3 and b"cannot read" in done.stderr, f"exit {done.returncode}, {done.stderr[:200]}")
    link = os.path.join(scratch, "clinic")
    shutil.copytree("samples/lantern-cove", link)
    os.remove(f"{link}/shelf.yaml")
    os.mkfifo(f"{link}/shelf.yaml")
    done = run("check", *NOW, f"{link}/patients/LC-2041.yaml")
    expect("a pipe for a shelf", done.returncode in (1, 3), f"exit {done.returncode}")
    for word in ("../x", "a/b", "", ".", "x\x1b[31m"):
        done = run("sheet", *NOW, "--out", scratch, "--template", word, PATIENT)
        expect(f"template {word!r}", done.returncode == 2, f"exit {done.returncode}, {done.stderr[:200]}")


def zones(scratch):
    """TZDIR and TZ move no hour."""
    false = os.path.join(scratch, "zones", "America")
    os.makedirs(false)
    shutil.copy("/usr/share/zoneinfo/Asia/Tokyo", f"{false}/Halifax")
    plain = run("plan", *NOW, PATIENT).stdout
    for more in ({"TZDIR": os.path.dirname(false)}, {"TZ": "Asia/Tokyo"}, {"TZDIR": "/nowhere"}):
        expect(f"{more}", run("plan", *NOW, PATIENT, env={**os.environ, **more}).stdout == plain, "the plan differs")
    expect("a plan at all", b"2026-11-24 23:30" in plain, plain[:200])


def terminal(scratch):
    """Nothing that a file holds reaches the terminal raw."""
    spiteful = "\x1b[31m\x9b31m\u202e\u2066x\u200b"
    clinic = os.path.join(scratch, "spiteful")
    shutil.copytree("samples/lantern-cove", clinic)
    path = f"{clinic}/protocols/evening-trigger.yaml"
    text = open(path, encoding="utf-8").read()
    escaped = '"Your \\e[31m\\u009b31m \\u202e\\u2066 injection\\u200b"'
    with open(path, "w", encoding="utf-8") as file:
        file.write(text.replace("title: Your trigger injection", f"title: {escaped}"))
    for words in (("check", path), ("plan", path), ("plan", "--format", "json", path), ("check", "--format", "lines", path),
                  ("check", "--format", "sarif", path), ("compare", PROTOCOL, path), ("compare", path, PROTOCOL),
                  ("trace", path, "sheet_title"), ("check", f"/nowhere/{spiteful}.yaml"), ("read", f"/nowhere/{spiteful}.pdf"),
                  ("explain", spiteful), ("schema", spiteful), ("trace", PROTOCOL, spiteful), (spiteful,), ("check", f"--{spiteful}"),
                  ("sheet", *NOW, "--out", f"/proc/{spiteful}", PATIENT), ("sheet", "--injection", spiteful, "--out", scratch, PATIENT),
                  ("approve", "--by", spiteful, "--review-by", "2027-10-01", PROTOCOL), ("check", "--now", spiteful, PATIENT)):
        done = run(*words)
        found = raw(done.stdout) + raw(done.stderr)
        expect(f"terminal: {words[0][:12]!r}", not found, f"{found[:5]} of {(done.stdout + done.stderr)[:300]}")
    odd = os.path.join(scratch, f"odd{spiteful}")
    shutil.copytree("samples/lantern-cove", odd)
    done = run("sheet", *NOW, "--out", f"{odd}/out", f"{odd}/patients/LC-2041.yaml")
    expect("names of files", done.returncode == 0 and not raw(done.stdout + done.stderr), done.stderr[:300])


LOADER = 127 # the status of the system's loader, which memory may end for before our first line


def memory(scratch):
    """Memory that ends is the system's failure, at whatever moment, and leaves nothing half."""
    out = os.path.join(scratch, "memory")
    seen = set()
    for megabytes in range(60, 150, 6):
        def bound(limit=megabytes << 20):
            resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
        done = subprocess.run([PROGRAM, "sheet", *NOW, "--text", "--out", out, PATIENT], capture_output=True,
                              preexec_fn=bound, timeout=60)
        seen.add(done.returncode)
        names = sorted(os.listdir(out)) if os.path.isdir(out) else []
        status = 3 if done.returncode == LOADER else done.returncode
        expect(f"{megabytes} MB", status in (0, 3) and len(names) in (0, 2) and not any(n.startswith(".") for n in names),
               f"exit {done.returncode}, {names}, {done.stderr[-200:]}")
        shutil.rmtree(out, ignore_errors=True)
    expect("memory ended at all", 3 in seen, f"{seen}")


def unread(*words):
    """The exit status where the reader of standard output is gone before the first word."""
    reader, writer = os.pipe()
    os.close(reader)
    done = subprocess.run([PROGRAM, *words], stdout=writer, stderr=subprocess.DEVNULL, timeout=60)
    os.close(writer)
    return done.returncode


def interrupted(scratch):
    """A signal at any moment: all files of a person or none; SIGKILL may leave parts, which
    the next run names."""
    chance = random.Random(20261129)
    out = os.path.join(scratch, "signals")
    kinds = [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGPIPE, signal.SIGKILL]
    for turn in range(25):
        kind = kinds[turn % len(kinds)]
        process = subprocess.Popen([PROGRAM, "sheet", *NOW, "--text", "--calendar", "--out", out, PATIENT],
                                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(chance.uniform(0.01, 0.18))
        process.send_signal(kind)
        process.wait(60)
        names = os.listdir(out) if os.path.isdir(out) else []
        whole = sorted(n for n in names if not n.startswith("."))
        expect(f"signal {kind.name}", len(whole) in (0, 3) if kind != signal.SIGKILL else True, f"{whole}")
        expect(f"no part after {kind.name}", kind == signal.SIGKILL or len(whole) == len(names), f"{names}")
        shutil.rmtree(out, ignore_errors=True)
    os.makedirs(out)
    with open(os.path.join(out, ".dosewright-1-0.part"), "w", encoding="utf-8") as file:
        file.write("half")
    done = run("sheet", *NOW, "--out", out, PATIENT)
    expect("a part is named", b".dosewright-1-0.part, left by a run that was killed" in done.stderr, done.stderr[-300:])
    shutil.rmtree(out)
    status = unread("sheet", *NOW, "--text", "--calendar", "--out", out, PATIENT)
    expect("all of it, although nobody reads the names", (status, len(os.listdir(out))) == (3, 3), f"exit {status}, {os.listdir(out)}")
    expect("a reader that went away", (status := unread("explain")) == 3, f"exit {status}")


def pdf(objects, trailer):
    """A file of these objects, by the syntax of ISO 32000-1, 7.5."""
    text, places = b"%PDF-1.5\n", []
    for number, body in enumerate(objects, 1):
        places.append(len(text))
        text += b"%d 0 obj\n%s\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    return text + b"xref\n0 %d\n0000000000 65535 f \n%strailer\n<</Root 1 0 R/Size %d %s>>\nstartxref\n%d\n%%%%EOF\n" % (
        len(objects) + 1, table, len(objects) + 1, trailer, len(text))


def page(content, kept, root=b"", kids=b"[3 0 R]/Count 1"):
    """A file of one page that says of itself what a sheet of ours says."""
    stream = zlib.compress(content, 9)
    return pdf([b"<</Type/Catalog/Pages 2 0 R%s>>" % root, b"<</Type/Pages/Kids%s>>" % kids,
                b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<</Font<</F 5 0 R>>/XObject<</X 6 0 R>>>>>>",
                b"<</Length %d/Filter/FlateDecode>>stream\n%s\nendstream" % (len(stream), stream),
                b"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
                b"<</Type/XObject/Subtype/Form/BBox[0 0 9 9]/Length 25/Resources<</XObject<</X 6 0 R>>>>>>stream\n"
                b"/X Do /X Do /X Do /X Do  \nendstream"], kept)


def outside(scratch):
    """A file from outside that calls itself a sheet of ours: read in bounded time and memory, and never
    called whole."""
    done = run("sheet", *NOW, "--out", scratch, PATIENT)
    path = done.stdout.decode().split()[0]
    with open(path, "rb") as file:
        own = file.read()
    kept = re.search(rb"/DosewrightRecord <[^>]*>", own)[0] + b"/DosewrightSeal <" + b"0" * 64 + b">"
    text = b"BT /F 9 Tf (a) Tj ET "
    files = {
        "cut": (own[:len(own) // 2], 1, b"NO: this is a sheet of dosewright"),
        "cut within its end": (own[:-9], 1, b"NO: the file agrees with its own checksum"),
        "a script": (page(text, kept, b"/OpenAction<</S/JavaScript/JS(while(1){})>>"), 1, b"NO: the code stands on every page"),
        "pages within themselves": (page(text, kept, kids=b"[2 0 R 2 0 R]/Count 2000000000"), 1, b"NO: "),
        "a picture within itself": (page(b"/X Do " * 1000, kept), 1, b"NO: the code stands on every page"),
        "locked": (page(text, kept + b"/Encrypt<</Filter/Standard/V 4/R 4/O(x)/U(y)/P -4>>/ID[(a)(b)]"), 1, b"NO: the code stands on every page"),
        "all memory": (page(b"q " * 20_000_000, kept), 3, b"memory ended"),
        "all time": (page(b"q Q " * 60_000_000, kept), 1, b"more seconds of the processor"),
    }

    def one_second():
        resource.setrlimit(resource.RLIMIT_CPU, (1, 2))
    for name, (data, status, said) in files.items():
        with open(path, "wb") as file:
            file.write(data)
        before = time.monotonic()
        done = subprocess.run([PROGRAM, "read", path], capture_output=True, timeout=60,
                              preexec_fn=one_second if name == "all time" else None)
        expect(f"from outside: {name}", done.returncode == status and said in done.stdout + done.stderr and
               path.encode() in done.stdout and time.monotonic() - before < 20, f"exit {done.returncode}, {done.stdout[-300:]} {done.stderr[-300:]}")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss >> 10
    expect("memory of what is read", peak < 400, f"{peak} MB")


def cores(scratch):
    """A core would hold people's data: none may be written, whatever the machine allows."""
    with subprocess.Popen([PROGRAM, "check", "-"], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL,
                          stderr=subprocess.DEVNULL) as process:
        began = time.monotonic()
        while (limit := resource.prlimit(process.pid, resource.RLIMIT_CORE)) != (0, 0) and time.monotonic() - began < 10:
            time.sleep(0.01)
        process.stdin.close()
        process.wait(60)
    expect("no core", limit == (0, 0), f"{limit}")


def programs(scratch):
    """The second program never starts the first again."""
    loop = os.path.join(scratch, "loop")
    os.makedirs(loop)
    shutil.copy(PROGRAM, f"{loop}/dosewright")
    os.symlink("dosewright", f"{loop}/dosewright-paper")
    done = subprocess.run([f"{loop}/dosewright", "sheet", PATIENT], capture_output=True, timeout=20)
    expect("itself for the second program", done.returncode == 3 and b"is not the program that it is called" in done.stderr, done.stderr)


for part in (inputs, zones, terminal, outside, memory, interrupted, cores, programs):
    with tempfile.TemporaryDirectory() as folder:
        part(folder)
end()
