"""How well speech is understood: ``python -m tests.quality.voice [--half report] [--voices a,b] [--noise]
[--model DIR]``.

Sentences: sets/spoken.jsonl, spoken by espeak-ng and flite. The repair's weights were set on the half
"tune"; figures for README come from the half "report". Word errors by jiwer, lower case, without
punctuation, hyphens as spaces, over the whole set. Trade-term recall: share of the marked terms whose
words stand in the text, in order.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import yaml

import knowledge
from journal.voice.audio import RATE, Samples, SoundFile
from journal.voice.repair import repair
from journal.voice.transcriber import Transcriber
from knowledge.entries import Term

SETS = Path(__file__).parent / "sets"
VOICES = {
    "espeak gb": ["espeak-ng", "-v", "en-gb", "-s", "160"],
    "espeak us": ["espeak-ng", "-v", "en-us", "-s", "150"],
    "espeak rp": ["espeak-ng", "-v", "en-gb-x-rp", "-s", "155"],
    "flite slt": ["flite", "-voice", "slt"],
    "flite rms": ["flite", "-voice", "rms"],
    "flite awb": ["flite", "-voice", "awb"],
}
THREE = ("flite slt", "flite rms", "espeak gb")


def load(name: str, half: str | None = None) -> list[dict[str, Any]]:
    """One set, or one half of it."""
    lines = (SETS / f"{name}.jsonl").read_text("utf-8").splitlines()
    found = [json.loads(line) for line in lines if line]
    return [entry for entry in found if half is None or entry.get("half") == half]


@cache
def terms() -> tuple[Term, ...]:
    """The shipped vocabulary, read without the rest of the rules."""
    path = Path(knowledge.__file__).parent / "rules" / "vocabulary.yaml"
    return tuple(Term(**entry) for entry in yaml.safe_load(path.read_text("utf-8"))["terms"])


def say(text: str, voice: str, path: Path) -> Path:
    """Speak a text into a WAV file."""
    command = VOICES[voice]
    out = ["-t", text, "-o", str(path)] if command[0] == "flite" else ["-w", str(path), text]
    subprocess.run([*command, *out], check=True, capture_output=True)
    return path


def plain(text: str) -> str:
    """Lower case, hyphens as spaces, no punctuation."""
    return " ".join(re.sub(r"[^a-z0-9' ]", " ", text.lower().replace("-", " ")).split())


def recalled(text: str, wanted: list[str]) -> int:
    """How many of the terms stand in the text, each at most as often as it is wanted."""
    padded = f" {plain(text)} "
    counts = Counter(map(plain, wanted))
    return sum(min(n, len(re.findall(f"(?= {re.escape(term)} )", padded))) for term, n in counts.items())


def with_noise(sound: Samples, noise: Samples, decibels: float) -> Samples:
    """Sound with noise under it at a signal-to-noise ratio of mean powers."""
    cut = np.resize(noise, len(sound))
    gain = np.sqrt(np.mean(sound**2) / (np.mean(cut**2) * 10 ** (decibels / 10)))
    mixed = sound + gain * cut
    return (mixed / max(1.0, float(np.abs(mixed).max()))).astype(np.float32)


def babble(folder: Path) -> Samples:
    """Four voices that speak of everyday things at once."""
    texts = [
        " ".join(entry["text"] for entry in load("ordinary")[start : start + 12])
        for start in (0, 60, 120, 180)
    ]
    spoken = []
    for n, (text, voice) in enumerate(
        zip(texts, ("espeak us", "flite slt", "espeak rp", "flite rms"), strict=True)
    ):
        spoken.append(read(say(text, voice, folder / f"babble{n}.wav")))
    length = min(map(len, spoken))
    return np.sum([one[:length] for one in spoken], axis=0).astype(np.float32)


def hall(sound: Samples) -> Samples:
    """The sound in a hard room (reverberation time 0.5 s: noise that decays by 60 dB), and a hum of 50 Hz."""
    random = np.random.default_rng(7)
    times = np.arange(int(0.5 * RATE)) / RATE
    tail = random.normal(size=len(times)) * 10 ** (-3 * times / 0.5)
    wet = np.convolve(sound, tail / np.sqrt(np.sum(tail**2)))[: len(sound)]
    return (wet + 0.3 * np.std(wet) * np.sin(2 * np.pi * 50 * np.arange(len(sound)) / RATE)).astype(
        np.float32
    )


def read(path: Path) -> Samples:
    """A whole short file at 16 kHz."""
    return np.concatenate(list(SoundFile(path).blocks()))


@dataclass(frozen=True)
class Figures:
    """raw: as recognised; mended: after the repair; recall and WER in [0, 1]; speed: seconds taken a
    second of sound."""

    raw_recall: float
    raw_wer: float
    recall: float
    wer: float
    speed: float


def measure(
    sentences: list[dict[str, Any]], sounds: list[Samples], hear: Callable[[Samples], str], mend: bool
) -> Figures:
    """Figures of one set in one voice."""
    import jiwer

    began = time.perf_counter()
    raw = [hear(sound) for sound in sounds]
    done = [repair(text, terms())[0] if mend else text for text in raw]
    taken = time.perf_counter() - began
    wanted = sum(len(entry["terms"]) for entry in sentences)

    def rates(texts: list[str]) -> tuple[float, float]:
        hits = sum(recalled(text, entry["terms"]) for text, entry in zip(texts, sentences, strict=True))
        return hits / wanted, jiwer.wer(
            [plain(e["text"]) for e in sentences], [plain(t) or "-" for t in texts]
        )

    return Figures(*rates(raw), *rates(done), taken / (sum(map(len, sounds)) / RATE))


def bare(model: Path | None) -> Callable[[Samples], str]:
    """The library as it comes, without prompt, context or repair."""
    from faster_whisper import WhisperModel

    from journal.voice.model import checked_folder

    engine = WhisperModel(
        str(checked_folder(model)), device="cpu", compute_type="int8", local_files_only=True
    )

    def hear(sound: Samples) -> str:
        return " ".join(segment.text.strip() for segment in engine.transcribe(sound, language="en")[0])

    return hear


def harm(half: str | None = None) -> list[tuple[str, str]]:
    """Ordinary sentences that the repair changed, with what became of them."""
    changed = []
    for entry in load("ordinary", half):
        mended, repairs = repair(entry["text"], terms())
        if repairs:
            changed.append((entry["text"], mended))
    return changed


def table(half: str, voices: list[str], noise: bool, model: Path | None, with_bare: bool, first: int) -> None:
    """Print the table, a line a voice and condition."""
    sentences = load("spoken", half)[:first]
    transcriber = Transcriber(terms(), model=model)
    transcriber.load()
    ways: list[tuple[str, Callable[[Samples], str], bool]] = [("plainball", transcriber.hear, True)]
    if with_bare:
        ways.insert(0, ("bare", bare(model), False))
    print("| voice | noise | way | recall before repair | recall | WER | real-time factor |")
    print("|---|---|---|---|---|---|---|", flush=True)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        under = babble(folder) if noise else None
        for voice in voices:
            clean = [read(say(entry["text"], voice, folder / "say.wav")) for entry in sentences]
            for label, sounds in conditions(clean, under):
                for way, hear, mend in ways:
                    f = measure(sentences, sounds, hear, mend)
                    print(
                        f"| {voice} | {label} | {way} | {f.raw_recall:.3f} | {f.recall:.3f} "
                        f"| {f.wer:.3f} | {f.speed:.2f} |",
                        flush=True,
                    )


def conditions(clean: list[Samples], under: Samples | None) -> list[tuple[str, list[Samples]]]:
    """The sounds as they are, and with noise."""
    found = [("none", clean)]
    if under is not None:
        for decibels in (20, 10):
            found.append((f"babble {decibels} dB", [with_noise(one, under, decibels) for one in clean]))
            found.append((f"hall {decibels} dB", [with_noise(one, hall(one), decibels) for one in clean]))
    return found


def main() -> None:
    """Print tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--half", default="report", choices=["tune", "report"])
    parser.add_argument("--voices", default=",".join(THREE))
    parser.add_argument("--noise", action="store_true")
    parser.add_argument("--first", type=int, default=60, help="only so many sentences")
    parser.add_argument("--bare", action="store_true", help="the library alone as well")
    parser.add_argument("--model", type=Path)
    parser.add_argument(
        "--harm", action="store_true", help="only list ordinary sentences that the repair changes"
    )
    args = parser.parse_args()
    for before, after in harm():
        print(f"changed: {before} -> {after}")
    if not args.harm:
        table(args.half, args.voices.split(","), args.noise, args.model, args.bare, args.first)


if __name__ == "__main__":
    main()
