"""Runs a server for its parent, and removes it and its directory as soon as the parent is gone.

A process of its own: `python keeper.py DIRECTORY`. The parent may write one line of JSON to its
standard input, {"commands": [[...], ...], "environment": {...}, "stop": signal, "uid": int or null,
"gid": int or null}: the commands run one after another, all must end well, and the last is the
server. Standard input ending, or anything more arriving on it, means stop. What the parent may need
to know goes to standard output.

Why a process: no exit handler runs after SIGKILL or a crash. PR_SET_PDEATHSIG would cover that, but
it is Linux only, is forgotten on a change of user, follows the thread that forked rather than the
process, and removes no directory. A dead process's pipes are closed by the kernel, whatever it died
of, so waiting for the end of a pipe covers every case. The keeper is in a session of its own, so
that Ctrl-C reaches the parent alone and the servers last until the parent has finished.
"""

import json
import os
import select
import shutil
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

LOOK_EVERY_S = 0.05
PATIENCE_S = 10


def stop_asked() -> bool:
    """Wait a moment; true once the parent has spoken again or is gone."""
    return bool(select.select([0], [], [], LOOK_EVERY_S)[0])


def end(child: subprocess.Popen[bytes], stop: int) -> None:
    if child.poll() is None:
        child.send_signal(stop)
    try:
        child.wait(PATIENCE_S)
    except subprocess.TimeoutExpired:
        child.kill()
        child.wait()


def run(order: dict[str, Any], directory: Path) -> int:
    """Run the commands until one ends badly, the server ends, or the parent wants no more."""
    log = directory / "log"
    as_user: dict[str, Any] = {}
    if order["uid"] is not None:
        as_user = {"user": order["uid"], "group": order["gid"], "extra_groups": []}
    for command in order["commands"]:
        with log.open("ab") as output:
            child = subprocess.Popen(
                command,
                cwd=directory,
                env={"PATH": os.defpath, "LC_ALL": "C", "TZ": "UTC"} | order["environment"],
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=output,
                **as_user,
            )
        try:
            while child.poll() is None:
                if stop_asked():
                    return 0
        finally:
            end(child, order["stop"])
        last = command is order["commands"][-1]
        if child.returncode or last:
            print(f"{command[0]} ended with status {child.returncode}:")
            print(log.read_text(errors="replace")[-4000:])
            return 1
    return 0


def main() -> int:
    directory = Path(sys.argv[1])
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))
    try:
        # Unbuffered, so that a stop sent straight after the order stays in the pipe for select.
        with open(0, "rb", buffering=0, closefd=False) as orders:
            line = orders.readline()
        return run(json.loads(line), directory) if line.strip() else 0
    finally:
        shutil.rmtree(directory, ignore_errors=True)


if __name__ == "__main__":
    sys.exit(main())
