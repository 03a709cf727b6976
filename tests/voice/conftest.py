"""Shared by the tests of the voice room: terms, a synthesiser, and one loaded recogniser a run."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

import knowledge
from journal.voice.transcriber import Transcriber
from knowledge.entries import Term

VOCABULARY = Path(knowledge.__file__).parent / "rules" / "vocabulary.yaml"


@pytest.fixture(scope="session")
def terms() -> tuple[Term, ...]:
    """The shipped trade vocabulary."""
    return tuple(Term(**entry) for entry in yaml.safe_load(VOCABULARY.read_text("utf-8"))["terms"])


@pytest.fixture(scope="session")
def transcriber(terms: tuple[Term, ...]) -> Transcriber:
    """The real recogniser with the bundled model."""
    return Transcriber(terms)


@pytest.fixture(scope="session")
def say(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Speak a text into a WAV file (22,050 Hz mono) with espeak-ng; the same text is spoken once a run."""
    if shutil.which("espeak-ng") is None:
        pytest.skip("espeak-ng is not installed (apt install espeak-ng)")
    folder = tmp_path_factory.mktemp("spoken")
    spoken: dict[str, Path] = {}

    def speak(text: str) -> Path:
        if text not in spoken:
            path = folder / f"{len(spoken)}.wav"
            subprocess.run(["espeak-ng", "-v", "en-us", "-s", "150", "-w", str(path), text], check=True)
            spoken[text] = path
        return spoken[text]

    return speak
