"""A command of which one call of the system fails (.build/drivers/fail.so), for faults.py and record_faults.py."""
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
