"""The chart on disk: whole, never over other work, kept through every accident."""

from __future__ import annotations

import signal
import threading
import time
from pathlib import Path

import pytest

from porchswing.bench.server.chart_file import ChangedOnDiskError, ChartFile, Saved
from porchswing.errors import OutputError

TEXT = "key: F\n[A]\n| F | C7 |\n"


def test_line_ends_and_byte_order_mark_stay_those_of_the_file(tmp_path) -> None:
    path = tmp_path / "a.changes"
    path.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    file = ChartFile(path)
    saved = file.read()
    assert "\r" not in saved.text
    before = path.read_bytes()
    assert file.save(saved.text, saved.digest) == saved.digest
    assert path.read_bytes() == before
    file.save(saved.text + "# more\n", saved.digest)
    assert path.read_bytes() == before + b"# more\r\n"


def test_text_and_digest_are_of_the_same_bytes_though_the_file_is_written_meanwhile(
    tmp_path, monkeypatch
) -> None:
    path = tmp_path / "a.changes"
    path.write_text(TEXT, "utf-8")
    file = ChartFile(path)
    before = file.digest()

    def read_then_written(name: Path) -> bytes:
        data = name.read_bytes()
        name.write_text(TEXT + "# more\n", "utf-8")
        return data

    monkeypatch.setattr("porchswing.bench.server.chart_file.chart_bytes", read_then_written)
    assert file.read() == Saved(TEXT, before)
    assert file.digest() != before


def test_other_work_is_never_written_over(tmp_path) -> None:
    path = tmp_path / "a.changes"
    path.write_text(TEXT)
    file = ChartFile(path)
    base = file.read().digest
    path.write_text("# theirs\n" + TEXT)
    with pytest.raises(ChangedOnDiskError) as caught:
        file.save("# mine\n" + TEXT, base)
    assert caught.value.theirs.text == "# theirs\n" + TEXT
    assert path.read_text() == "# theirs\n" + TEXT
    aside = file.set_aside("# mine\n" + TEXT)
    assert aside.read_text() == "# mine\n" + TEXT
    assert file.set_aside("again").name != aside.name


def test_a_deleted_file_is_written_again_and_its_mode_stays(tmp_path) -> None:
    path = tmp_path / "a.changes"
    path.write_text(TEXT)
    path.chmod(0o640)
    file = ChartFile(path)
    digest = file.save(TEXT + "#\n", file.read().digest)
    assert path.stat().st_mode & 0o777 == 0o640
    path.unlink()
    file.save(TEXT, digest)
    assert path.read_text() == TEXT


def test_a_full_disk_leaves_the_file_as_it_was(tmp_path, monkeypatch) -> None:
    from pathlib import Path

    path = tmp_path / "a.changes"
    path.write_text(TEXT)
    file = ChartFile(path)
    base = file.read().digest

    def full(self, data):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OutputError, match="No space left"):
        file.save(TEXT * 2, base)
    assert path.read_text() == TEXT
    assert [each.name for each in tmp_path.iterdir()] == ["a.changes"]


@pytest.mark.parametrize("kills", [2, pytest.param(10, marks=pytest.mark.slow)])
def test_killed_while_it_saves_nothing_is_lost(tmp_path, need_module, kills) -> None:
    """After each kill the file is whole: the last text acknowledged, or one that was on its way."""
    need_module("uvicorn")
    from support.bench_running import Running

    path = tmp_path / "a.changes"
    path.write_text(TEXT)
    body = "".join(f"# line {n} of a long chart\n" for n in range(4000))
    number, acknowledged = 0, 0
    for kill in range(kills):
        with Running(tmp_path, "a.changes") as running, running.talk() as talk:
            digest = talk.ask("hello")["digest"]
            timer = threading.Timer(0.05 + 0.03 * kill, running.end, [signal.SIGKILL])
            timer.start()
            try:
                while True:
                    number += 1
                    text = f"# save {number}\n{body}{TEXT}"
                    digest = talk.ask("save", text=text, base=digest)["digest"]
                    acknowledged = number
                    time.sleep(0.005)
            except Exception:  # the server was killed, as planned
                pass
            timer.join()
        found = path.read_text()
        saved = int(found.split("\n", 1)[0].removeprefix("# save "))
        assert found == f"# save {saved}\n{body}{TEXT}"
        assert acknowledged <= saved <= number
        number = saved
        acknowledged = saved
