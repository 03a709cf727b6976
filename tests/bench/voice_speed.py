"""What the voice room costs: ``python -m tests.bench.voice_speed``.

Overhead: seconds for one file by plainball (prompt, context, repair, reading of the file) over seconds by
the bare library with its own settings, the same model and file, medians of alternating runs. Real-time
factor: seconds taken a second of sound. First words: from the end of the first spoken word until words are
on the screen, in real time.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

import numpy as np

from journal.voice.audio import RATE, Samples
from journal.voice.live import LiveText, Spoken
from journal.voice.model import checked_folder
from journal.voice.transcriber import Transcriber
from tests.quality.voice import load, read, say, terms
from tests.voice.test_audio import write_wav

DEMO = Path(__file__).parents[2] / "demo_data" / "spoken_note.ogg"


def overhead(path: Path, transcriber: Transcriber, runs: int = 5) -> tuple[float, float, float]:
    """Ratios of the medians (wall time, processor time), and the real-time factor of plainball."""
    from faster_whisper import WhisperModel

    bare = WhisperModel(str(checked_folder(None)), device="cpu", compute_type="int8", local_files_only=True)
    ours, theirs, seconds = [], [], 0.0
    our_work, their_work = [], []
    for run in range(runs + 1):
        began, idle = time.perf_counter(), time.process_time()
        _ = [segment.text for segment in bare.transcribe(str(path), language="en")[0]]
        middle, worked = time.perf_counter(), time.process_time()
        seconds = transcriber.transcribe(path).seconds_audio
        if run:  # the first run of each warms up
            theirs.append(middle - began)
            ours.append(time.perf_counter() - middle)
            their_work.append(worked - idle)
            our_work.append(time.process_time() - worked)
    wall = statistics.median(ours) / statistics.median(theirs)
    work = statistics.median(our_work) / statistics.median(their_work)
    return wall, work, statistics.median(ours) / seconds


def first_words(sound: Samples, transcriber: Transcriber, word_ends: float) -> float:
    """Seconds between the end of the first word and the first words on the screen, played in real time."""
    shown: list[float] = []

    def note(spoken: Spoken) -> None:
        if spoken.text:
            shown.append(time.monotonic())

    live = LiveText(transcriber, note)
    live.start()
    began = time.monotonic()
    blocks = np.array_split((sound * 32_767).astype(np.int16), max(1, len(sound) // 1_600))
    for number, block in enumerate(blocks):
        time.sleep(max(0.0, began + number * len(block) / RATE - time.monotonic()))
        live.feed(block)
    while not shown and time.monotonic() - began < 30:
        time.sleep(0.05)
    live.close()
    return shown[0] - began - word_ends


def main() -> None:
    """Print the figures."""
    transcriber = Transcriber(terms())
    transcriber.load()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        spoken = [read(say(e["text"], "flite slt", folder / "say.wav")) for e in load("spoken", "tune")[:12]]
        minute = write_wav(folder / "minute.wav", np.concatenate(spoken).astype(np.float64), RATE)
        sentence = write_wav(folder / "sentence.wav", spoken[0].astype(np.float64), RATE)
        for label, path in (("one sentence", sentence), ("demo note", DEMO), ("a minute", minute)):
            wall, work, factor = overhead(path, transcriber)
            print(
                f"{label}: {wall:.2f} times the bare library's time ({work:.2f} times its processor time), "
                f"real-time factor {factor:.2f}",
                flush=True,
            )
        waits = [first_words(sound, transcriber, 0.4) for sound in spoken[:4]]
    print(f"first words after {statistics.median(waits):.1f} s (worst of four {max(waits):.1f} s)")


if __name__ == "__main__":
    main()
