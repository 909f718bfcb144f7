"""How long a build will take and how much disk: estimated from rates measured on this machine.

One job of the plan is really made, in a temporary folder, and timed; the others are taken to cost
as much for each second of their recordings. Their lengths follow from the charts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

from porchswing.chart.language.reader import parse_chart
from porchswing.chart.model import Chart
from porchswing.course.tune_job import TuneJob
from porchswing.errors import PorchswingError
from porchswing.outputs.jobs.worker import run_job
from porchswing.outputs.manifest import engine_digest
from porchswing.recording import is_sound
from porchswing.take import road_of

LONG_S = 3600.0
"""A build of so many seconds of recordings takes long enough to be worth an estimate."""

RING_S = 3.0
"""About how long the last sound rings on (our own recordings; only an estimate rests on it)."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """What the jobs of a plan come to: recordings in seconds, work in seconds, disk in bytes.

    ``work_s`` is for one worker; several share it. It is 0 where no job was measured.
    """

    audio_s: float
    work_s: float
    size_bytes: int


def estimate(jobs: Iterable[TuneJob], least_s: float = 0.0) -> Estimate:
    """Return the estimate for some jobs; measure none for under ``least_s`` of recordings.

    The shortest of the first jobs that can be read is the one measured.
    """
    jobs = list(jobs)
    lengths = [_length_s(job) for job in jobs]
    sample = sorted((s, i) for i, s in enumerate(lengths[:50]) if s)
    if not sample:
        return Estimate(0.0, 0.0, 0)
    audio_s = sum(
        length_s * sum(is_sound(Path(name)) for name in job.outputs)
        for length_s, job in zip(lengths, jobs, strict=True)
    )
    length_s, index = sample[0]
    measured = _measure(jobs[index]) if audio_s >= least_s else None
    if measured is None:
        return Estimate(audio_s, 0.0, 0)
    work_s, size_bytes = measured
    share = sum(s * len(job.outputs) for s, job in zip(lengths, jobs, strict=True))
    share /= length_s * len(jobs[index].outputs)
    return Estimate(audio_s, work_s * share, round(size_bytes * share))


def _length_s(job: TuneJob) -> float:
    """Return about how long one recording of a job is; 0 where its chart cannot be read."""
    try:
        chart = _parsed(job.chart_text, job.chart_name)
        roadmap = road_of(chart, job.choices)
    except PorchswingError:
        return 0.0
    felt_bpm = job.choices.style.felt_bpm(chart.tempo_bpm)
    count_in = job.choices.style.count_in_bars
    bars = 2 if count_in is None else count_in
    beats = roadmap.beats + bars * chart.meter.bar_beats
    return float(beats) / float(chart.meter.felt_beats) * 60 / felt_bpm + RING_S


@lru_cache(maxsize=64)
def _parsed(text: str, name: str) -> Chart:
    return parse_chart(text, name)


def _measure(job: TuneJob) -> tuple[float, int] | None:
    """Make a job twice, the second time warm; return its seconds and bytes."""
    with TemporaryDirectory() as folder:
        parts = [
            Path(folder) / f"{index}{Path(name).suffix}" for index, name in enumerate(job.outputs)
        ]
        results = [run_job(job, [str(part) for part in parts], engine_digest()) for _ in range(2)]
        if results[-1].error:
            return None
        return results[-1].work_s, sum(part.stat().st_size for part in parts)
