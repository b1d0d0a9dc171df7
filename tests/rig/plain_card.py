"""A sound card made of software: every output wired to the input of its number.

``plain_card.py SERVER NAME CHANNELS HEARD MUTED_INPUT TONE``. HEARD is a file in which it keeps
what its outputs were given: an int64 count of frames, then a ring of RING frames of float32. Once
it has played for 0.3 s, MUTED_INPUT gives zeros. TONE, where not 0, comes out of every input
instead of what was played. Prints "up"; ends when its standard input does.
"""

import sys
import time
from pathlib import Path

import jack
import numpy as np

RING = 48_000 * 30
HEAD = 8
START_LIMIT_S = 20.0


def connect(server: str, name: str) -> jack.Client:
    until = time.monotonic() + START_LIMIT_S
    while True:
        try:
            return jack.Client(name, servername=server, no_start_server=True)
        except jack.JackOpenError:
            if time.monotonic() > until:
                raise
            time.sleep(0.05)


def main(server: str, name: str, *, channels: int, heard: Path, muted: int, tone: float) -> None:
    jack.set_error_function(lambda *_: None)
    jack.set_info_function(lambda *_: None)
    client = connect(server, name)
    outs = [client.inports.register(f"playback_{k + 1}") for k in range(channels)]
    ins = [client.outports.register(f"capture_{k + 1}") for k in range(channels)]
    with heard.open("wb") as file:
        file.write(bytes(HEAD + 4 * RING * channels))
    count = np.memmap(heard, dtype=np.int64, mode="r+", shape=(1,))
    ring = np.memmap(heard, dtype=np.float32, mode="r+", offset=HEAD, shape=(RING, channels))
    sounding = 0

    @client.set_process_callback  # type: ignore[untyped-decorator]  # the library has no types
    def process(frames: int) -> None:
        nonlocal sounding
        at = (int(count[0]) + np.arange(frames)) % RING
        for channel, (out, back) in enumerate(zip(outs, ins, strict=True)):
            played = out.get_array()
            ring[at, channel] = played
            sounding += int(channel == 0 and bool(played.any())) * frames
            is_mute = channel + 1 == muted and sounding > 0.3 * client.samplerate
            back.get_array()[:] = 0 if is_mute else tone or played
        count[0] += frames

    client.activate()
    sys.stdout.write("up\n")
    sys.stdout.flush()
    sys.stdin.read()
    client.deactivate()
    client.close()


if __name__ == "__main__":
    main(
        sys.argv[1],
        sys.argv[2],
        channels=int(sys.argv[3]),
        heard=Path(sys.argv[4]),
        muted=int(sys.argv[5]),
        tone=float(sys.argv[6]),
    )
