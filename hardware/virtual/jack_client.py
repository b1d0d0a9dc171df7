"""The rig as a device that other programs open: a client of a JACK server.

``python -m hardware.virtual.jack_client --server NAME --name "Tram Bench" --chain CHAIN.toml``
prints ``up`` once the device is there and runs until it is told to end or the server does. Needs
the package JACK-Client, which comes with the test extra.
"""

import argparse
import importlib
import os
import signal
import sys
import threading
from pathlib import Path
from typing import Any

import numpy as np

from hardware.chain.load import load_chain
from hardware.chain.schema import Chain
from hardware.errors import HardwareError
from hardware.virtual.live import LiveRig

_FEWEST = 2  # a device has at least a pair of either kind
_WARM_UP_BLOCKS = 8


class RigDevice:
    """Joins the ports of a client to the rig.

    Parameters
    ----------
    client : jack.Client
        Connected, not yet active.
    rig : LiveRig
        With as many inputs as the chain needs.
    chain : Chain
        Says which output drives the unit.
    """

    def __init__(self, client: Any, *, rig: LiveRig, chain: Chain) -> None:
        self._rig = rig
        drive = chain.output.drive
        outputs = max(_FEWEST, drive.channel, drive.copy_channel or 0)
        # The names are the device's own: what it plays comes into the client, and the reverse.
        self._played = [client.inports.register(f"playback_{n + 1}") for n in range(outputs)]
        self._captured = [
            client.outports.register(f"capture_{n + 1}") for n in range(inputs_of(chain))
        ]
        self._driven = self._played[drive.channel - 1]
        silence = np.zeros(client.blocksize, dtype=np.float32)
        for _ in range(_WARM_UP_BLOCKS):  # whatever is compiled or cached is so before it counts
            rig.process(silence)
        client.set_process_callback(self.process)

    def process(self, frames: int) -> None:
        """Serve one period.

        Parameters
        ----------
        frames : int
            Its length.
        """
        heard = self._rig.process(self._driven.get_array()[:frames])
        for port, samples in zip(self._captured, heard.T, strict=True):
            port.get_array()[:] = samples


def inputs_of(chain: Chain) -> int:
    """Count the inputs that a chain needs.

    Parameters
    ----------
    chain : Chain
        Channels count from 1.

    Returns
    -------
    int, at least a pair.
    """
    wired = [getattr(chain.input, name) for name in type(chain.input).model_fields]
    channels: list[int] = [one.channel for one in wired if one is not None]
    return max([_FEWEST, *channels])


def main(arguments: list[str]) -> int:
    """Run the device until SIGTERM, SIGINT or the server's end.

    Parameters
    ----------
    arguments : list of str
        As on the command line.

    Returns
    -------
    int, the exit code: 2 where the chain, the rate or the server cannot be used.
    """
    parser = argparse.ArgumentParser(prog="jack_client", description="The rig as a JACK device.")
    parser.add_argument("--server", required=True, help="name of the running server")
    parser.add_argument("--name", required=True, help="name of the device")
    parser.add_argument("--chain", required=True, type=Path, help="chain file")
    asked = parser.parse_args(arguments)
    jack = importlib.import_module("jack")
    jack.set_error_function(lambda _: None)
    jack.set_info_function(lambda _: None)
    try:
        snapshot = load_chain(asked.chain)
        client = jack.Client(asked.name, servername=asked.server, no_start_server=True)
        rig = LiveRig(
            snapshot,
            sample_rate_hz=float(client.samplerate),
            channels=inputs_of(snapshot.chain),
        )
    except (HardwareError, jack.JackError) as error:
        sys.stderr.write(f"{error}\n")
        return 2
    _serve(client, rig=rig, chain=snapshot.chain)
    return 0


def _serve(client: Any, *, rig: LiveRig, chain: Chain) -> None:
    ended = threading.Event()
    RigDevice(client, rig=rig, chain=chain)
    # Without its server the library's own closing hangs.
    client.set_shutdown_callback(lambda *_: os._exit(0))
    for one in (signal.SIGTERM, signal.SIGINT):
        signal.signal(one, lambda *_: ended.set())
    client.activate()
    sys.stdout.write("up\n")
    sys.stdout.flush()
    ended.wait()
    client.deactivate()
    client.close()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
