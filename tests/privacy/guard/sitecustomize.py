"""Put on PYTHONPATH, forbids every Python process that starts to use the network.

Each attempt is noted in the file that `NETWORK_ATTEMPTS` names, so that one whose error is caught
is seen all the same.
"""

import os
import socket
import sys
from pathlib import Path

_LOOKS_UP = {"socket.getaddrinfo", "socket.gethostbyname", "socket.gethostbyaddr"}
_REACHES_OUT = {socket.AF_INET, socket.AF_INET6}


def _forbid(event: str, arguments: tuple) -> None:
    opened = event == "socket.__new__" and arguments[1] in _REACHES_OUT
    if opened or event in _LOOKS_UP:
        with Path(os.environ["NETWORK_ATTEMPTS"]).open("a", encoding="utf-8") as file:
            file.write(f"{event} {arguments[1:]!r}\n")
        raise PermissionError(f"the network is forbidden: {event}")


sys.addaudithook(_forbid)
