"""What published instrument taggers hear in our mixes and stems, beside a sampled instrument.

musicnn's two models (MTT_musicnn and MTT_vgg; Pons & Serra, "musicnn: pre-trained convolutional
neural networks for music audio tagging", ISMIR late-breaking 2019; trained on MagnaTagATune) tag
recordings of charts: the mix, the mix without drums, and each part alone; with ``--soundfont`` the
same MIDI through FluidSynth is tagged beside it. A tagger is a hint, not an ear.

The taggers need an environment of their own, because their TensorFlow is old::

    python -m venv taggers
    taggers/bin/pip install "tensorflow-cpu==2.15.1" "numpy<2" "librosa<0.11" soundfile
    taggers/bin/pip install --no-deps musicnn==0.1.0

Run from the checkout: ``python tests/bench/instrument_taggers.py --taggers taggers/bin/python
[CHART …] [--forms] [--soundfont FILE.sf2] [--models MTT_musicnn MTT_vgg]``. ``--forms`` adds the
charts of ``audio_levels.py``, a strum each. Fails where MTT_musicnn hears a piano above the guitar
in a mix of ours, or drums of ours as electronic.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import audio_levels

TAGS = ("guitar", "piano", "classical", "strings", "drums", "electronic", "techno", "harpsichord")
MOST_ELECTRONIC = 0.12
"""How electronic our drums by themselves may be."""

MIXES = {
    "mix": (),
    "no drums": ("drums", "count"),
    "chords": ("bass", "drums", "count"),
    "bass": ("chords", "drums", "count"),
    "drums": ("chords", "bass", "count"),
}

TAGGER = """
import json, os, sys, warnings
os.environ["TF_CPP_MIN_LOG_LEVEL"] = "3"
os.environ["CUDA_VISIBLE_DEVICES"] = ""
warnings.filterwarnings("ignore")
import numpy as np
from musicnn.extractor import extractor
for line in sys.stdin:
    path, model = json.loads(line)
    gram, tags = extractor(path, model=model, input_overlap=1.5, extract_features=False)[:2]
    print("RESULT " + json.dumps(dict(zip(tags, gram.mean(axis=0).tolist()))), flush=True)
"""


def recordings(chart: Path, folder: Path, soundfont: Path | None):
    """Yield name and path of every recording of a chart: ours, then the sampled ones."""
    from porchswing.chart.language.reader import read_chart
    from porchswing.options import Choices
    from porchswing.take import take_from_chart

    for name, without in MIXES.items():
        take = take_from_chart(read_chart(chart), Choices(without=without))
        path = folder / f"{chart.stem} {name}.wav"
        take.write_audio(path)
        yield name, "ours", path
        if soundfont:
            sampled = path.with_suffix(".sampled.wav")
            midi = path.with_suffix(".mid")
            take.write_midi(midi)
            command = ["fluidsynth", "-ni", "-q", "-r", "44100", "-F", sampled, soundfont, midi]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
            yield name, "sampled", sampled


def form_charts(folder: Path) -> list[Path]:
    """Write the charts whose levels are measured, one a strum, and return their paths."""
    four = [(strum, "4/4", tempo) for strum, tempo in audio_levels.FOUR_STRUMS]
    paths = []
    for strum, meter, tempo in (*four, *audio_levels.OTHER_STRUMS):
        paths.append(folder / f"{strum}.changes")
        text = audio_levels.FORM.format(strum=strum, meter=meter, tempo=tempo)
        paths[-1].write_text(text, "utf-8")
    return paths


def main() -> None:
    """Print a table of tags for every recording and model."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("charts", nargs="*", type=Path)
    parser.add_argument("--taggers", required=True, help="python of the taggers' environment")
    parser.add_argument("--forms", action="store_true")
    parser.add_argument("--soundfont", type=Path)
    parser.add_argument("--models", nargs="+", default=["MTT_musicnn"])
    options = parser.parse_args()
    charts = options.charts or sorted(Path("demos").glob("*.changes"))
    tagger = subprocess.Popen(
        [options.taggers, "-c", TAGGER], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    print(f"{'':44}" + "".join(f"{tag:>12}" for tag in TAGS))
    failed = []
    with tempfile.TemporaryDirectory() as folder:
        charts += form_charts(Path(folder)) if options.forms else []
        for chart in charts:
            for name, whose, path in recordings(chart, Path(folder), options.soundfont):
                for model in options.models:
                    tagger.stdin.write(json.dumps([str(path), model]) + "\n")
                    tagger.stdin.flush()
                    line = ""
                    while not line.startswith("RESULT "):
                        line = tagger.stdout.readline()
                        if not line:
                            sys.exit("the taggers' process ended")
                    tags = json.loads(line.removeprefix("RESULT "))
                    head = f"{chart.stem[:16]} {name} {whose} {model[4:]}"
                    print(f"{head:44}" + "".join(f"{tags.get(tag, 0.0):12.3f}" for tag in TAGS),
                          flush=True)  # fmt: skip
                    if whose == "ours" and model == "MTT_musicnn":
                        is_piano = name == "mix" and tags["guitar"] <= tags["piano"]
                        is_machine = name == "drums" and tags["electronic"] >= MOST_ELECTRONIC
                        failed += [head] if is_piano or is_machine else []
    tagger.stdin.close()
    tagger.wait()
    sys.exit(f"not heard as what they are: {failed}" if failed else 0)


if __name__ == "__main__":
    main()
