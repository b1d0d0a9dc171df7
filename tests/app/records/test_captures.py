"""Recordings on the disk: exact, named by what they hold, and never silently another."""

import dataclasses
import hashlib
import struct
from collections.abc import Iterator
from pathlib import Path

import hypothesis.strategies as st
import numpy as np
import pytest
import soundfile
from hypothesis import given, settings
from hypothesis.extra.numpy import arrays

from app.errors import BadInputError
from app.records.captures import audio_hash, capture_hash
from app.records.store import Store
from hardware.card import Capture
from tests.app.records.made_takes import START, bits, make_capture, make_take


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "records.sqlite") as store:
        yield store


def only_file(store: Store) -> Path:
    (path,) = store.folder.rglob("*.wav")
    return path


def test_the_hash_can_be_found_by_anyone_from_what_is_written_down() -> None:
    samples = np.array([[0.5, -1.0], [0.25, 0.125]], dtype=np.float32)
    capture = Capture(samples=samples, sample_rate_hz=44_100.0, started_utc=START, card="")
    text = b"capture float32 44100.0 2\n" + struct.pack("<4f", 0.5, -1.0, 0.25, 0.125)
    assert capture_hash(capture) == hashlib.sha256(text).hexdigest()
    text = b"audio float64\n" + struct.pack("<2d", 0.1, -0.2)
    assert audio_hash(np.array([0.1, -0.2])) == hashlib.sha256(text).hexdigest()


def test_the_layout_in_memory_is_not_part_of_the_hash_but_rate_and_channels_are() -> None:
    capture = make_capture(frames=12)
    turned = dataclasses.replace(capture, samples=np.asfortranarray(capture.samples))
    assert capture_hash(turned) == capture_hash(capture)
    faster = dataclasses.replace(capture, sample_rate_hz=96_000.0)
    folded = dataclasses.replace(capture, samples=capture.samples.reshape(6, 4))
    assert len({capture_hash(c) for c in (capture, faster, folded)}) == 3


@settings(deadline=None, max_examples=30)
@given(
    samples=arrays(
        np.float32,
        st.tuples(st.integers(1, 30), st.integers(1, 9)),
        elements=st.floats(width=32, allow_nan=True, allow_infinity=True),
    ),
    rate=st.floats(8000, 384_000),
)
def test_any_float32_comes_back_with_any_rate(
    tmp_path_factory: pytest.TempPathFactory, samples: np.ndarray, rate: float
) -> None:
    capture = Capture(samples=samples, sample_rate_hz=rate, started_utc=START, card="x")
    take = make_take(capture)
    with Store.open(tmp_path_factory.mktemp("any") / "records.sqlite") as store:
        store.keep(take, capture=capture)
        assert bits(store.capture(take)) == bits(capture)


def test_a_capture_is_a_wav_file_that_others_can_read(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture)
    store.keep(take, capture=capture)
    path = only_file(store)
    assert path.stem == take.capture_sha256
    samples, rate = soundfile.read(path, dtype="float32")
    np.testing.assert_array_equal(samples, capture.samples)
    assert rate == 48_000
    assert soundfile.info(path).subtype == "FLOAT"


def test_a_changed_file_is_noticed_and_a_missing_or_cut_one_named(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture)
    store.keep(take, capture=capture)
    path = only_file(store)
    whole = path.read_bytes()
    path.write_bytes(whole[:-1] + bytes([whole[-1] ^ 1]))
    with pytest.raises(BadInputError, match=r"\.wav: the samples are not those that were kept"):
        store.capture(take)
    assert store.capture(take, verify=False).samples.shape == capture.samples.shape
    path.write_bytes(whole[:10])
    with pytest.raises(BadInputError, match=r"\.wav: the file is damaged"):
        store.capture(take)
    path.unlink()
    with pytest.raises(BadInputError, match=r"\.wav: the file is missing"):
        store.capture(take)


def test_a_damaged_file_is_mended_by_the_next_take_of_the_same_samples(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture)
    store.keep(take, capture=capture)
    only_file(store).write_bytes(b"no longer a recording")
    store.keep(make_take(capture, seed=2), capture=capture)
    assert bits(store.capture(take)) == bits(capture)


def test_stores_in_one_folder_keep_their_files_apart(tmp_path: Path) -> None:
    capture = make_capture()
    for name in ("a.sqlite", "a.db"):
        with Store.open(tmp_path / name) as store:
            store.keep(make_take(capture), capture=capture)
    assert len(list(tmp_path.rglob("*.wav"))) == 2


def test_what_a_killed_process_left_is_swept_and_what_is_kept_stays(store: Store) -> None:
    capture = make_capture()
    take = make_take(capture)
    store.keep(take, capture=capture)
    folder = only_file(store).parents[1]
    stray = "0" * 64
    (folder / "00").mkdir(exist_ok=True)
    (folder / "00" / f"{stray}.wav").touch()
    for name in (stray, take.capture_sha256, f"{'1' * 64}.part"):
        (folder / "arriving" / name).touch()
    Store.open(store.address).close()
    assert only_file(store).stem == take.capture_sha256
    assert list((folder / "arriving").iterdir()) == []
