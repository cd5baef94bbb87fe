"""Runs the command line while Python's audit events are written down: ``python -P watched_marking.py LOG mark …``.

Events: Python's documentation, "Audit events table".
"""

import json
import sys
from pathlib import Path

WATCHED = ("open", "import", "exec", "compile", "subprocess.Popen", "os.system", "os.exec", "os.fork", "os.posix_spawn")
NETWORK = "socket."


def watch(path: str) -> None:
    log = Path(path).open("w", encoding="utf-8", buffering=1 << 20)  # noqa: SIM115 - it is open until the process ends

    def told(event: str, arguments: tuple) -> None:
        if event in WATCHED or event.startswith(NETWORK):
            named = [str(one)[:400] for one in arguments[:2]]
            if event == "compile":
                named = [named[1]]
            if event == "open":
                named = [named[0], arguments[2] if isinstance(arguments[2], int) else 0]
            log.write(json.dumps([event, named]) + "\n")

    sys.addaudithook(told)


if __name__ == "__main__":
    watch(sys.argv[1])
    from musictheory_nb.cli import main

    sys.argv = ["musictheory-nb", *sys.argv[2:]]
    main()
