"""A command of which one call of the system fails (.build/drivers/fail.so), for faults.py, record_faults.py and desk_faults.py."""
import os
import struct
import subprocess

SHIM = os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), ".build/drivers/fail.so")


def failing(words, folder, number, error=0, **more):
    """The command in its folder, of whose files only those below it count: (exit status, what it said, how many
    calls there were, what failed).  number 0: none fails."""
    state, log = folder + ".state", folder + ".log"
    with open(state, "wb") as file:
        file.write(struct.pack("qqq", 0, number, error))
    if os.path.exists(log):
        os.remove(log)
    environment = dict(os.environ, LD_PRELOAD=SHIM, FAIL_STATE=state, FAIL_LOG=log, FAIL_UNDER=folder + "/", **more)
    done = subprocess.run(words, cwd=folder, capture_output=True, text=True, errors="replace", env=environment, timeout=300)
    with open(state, "rb") as file:
        calls = struct.unpack("qqq", file.read())[0]
    failed = ""
    if os.path.exists(log):
        with open(log, encoding="utf-8") as file:
            failed = file.read().strip().replace(folder + "/", "")
    return done.returncode, done.stdout + done.stderr, calls, failed


def chosen(calls, tries):
    """So many of the calls, the first and the last among them; all where tries is None.  Of one alone it is an
    early one, since another run may have fewer."""
    if tries is None or calls <= tries:
        return range(1, calls + 1)
    if tries == 1:
        return [(calls + 3) // 4]
    return sorted({1 + round(at * (calls - 1) / (tries - 1)) for at in range(tries)})


def each_call(name, run, numbers, wrong):
    """(how many calls failed, faults) of run(number), as failing() answers, judged by wrong(status, said)."""
    tried, faults = 0, []
    for number in numbers:
        status, said, _, failed = run(number)
        if not failed:
            continue # in another order of the threads there was one call less
        tried += 1
        fault = wrong(status, said)
        if fault:
            faults.append(f"{name}, call {number}, {failed}: {fault}: {said.strip()[-300:]}")
    return tried, faults
