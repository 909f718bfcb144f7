"""Ogg pages: a fixed serial number, checksums as libsndfile's own."""

from __future__ import annotations

import numpy as np
import soundfile

from porchswing.audio.master.encode import number_stream, ogg_checksum


def pages(data: bytes) -> list[bytes]:
    found = []
    while data:
        size = 27 + data[26] + sum(data[27 : 27 + data[26]])
        found.append(data[:size])
        data = data[size:]
    return found


def test_checksums_are_libsndfiles_and_the_music_stays(tmp_path):
    path = tmp_path / "a.ogg"
    soundfile.write(path, np.sin(np.arange(882_000) / 20) * 0.3, 44_100)
    before, music = path.read_bytes(), soundfile.read(path)[0]
    assert len(pages(before)) > 3
    for page in pages(before):
        bare = page[:22] + bytes(4) + page[26:]
        assert ogg_checksum(bare) == int.from_bytes(page[22:26], "little")
    number_stream(path)
    after = path.read_bytes()
    assert {page[14:18] for page in pages(after)} == {b"\1\0\0\0"}
    assert (soundfile.read(path)[0] == music).all()
    number_stream(path, int.from_bytes(before[14:18], "little"))
    assert path.read_bytes() == before
