"""The sentence encoder in plain torch, for fine-tuning only; the program itself runs the exported ONNX file.

Needs torch and safetensors, and the published fp32 weights of all-MiniLM-L6-v2 (Apache-2.0).
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import torch
from safetensors.torch import load_file
from torch import nn
from torch.nn import functional as F

WIDTH, HEADS, LAYERS = 384, 12, 6
_LAYER_NAMES = {
    "attention.self.query": "query",
    "attention.self.key": "key",
    "attention.self.value": "value",
    "attention.output.dense": "out",
    "attention.output.LayerNorm": "norm1",
    "intermediate.dense": "up",
    "output.dense": "down",
    "output.LayerNorm": "norm2",
}
_TABLE_NAMES = {
    "word_embeddings": "word",
    "position_embeddings": "place",
    "token_type_embeddings": "kind",
    "LayerNorm": "norm",
}


class Layer(nn.Module):  # type: ignore[misc]  # torch is not installed where mypy runs
    """One transformer layer, normalised after each half."""

    def __init__(self) -> None:
        super().__init__()
        self.query, self.key, self.value, self.out = (nn.Linear(WIDTH, WIDTH) for _ in range(4))
        self.norm1, self.norm2 = nn.LayerNorm(WIDTH, 1e-12), nn.LayerNorm(WIDTH, 1e-12)
        self.up, self.down = nn.Linear(WIDTH, 4 * WIDTH), nn.Linear(4 * WIDTH, WIDTH)
        self.drop = nn.Dropout(0.1)

    def forward(self, x: Any, bias: Any) -> Any:
        """(batch, tokens, 384) to the same; bias: added to the attention scores, -10,000 where nothing stands."""
        batch, length, _ = x.shape
        q, k, v = (
            part(x).view(batch, length, HEADS, WIDTH // HEADS).transpose(1, 2)
            for part in (self.query, self.key, self.value)
        )
        weight = torch.softmax(q @ k.transpose(-1, -2) / (WIDTH // HEADS) ** 0.5 + bias, -1)
        mixed = (weight @ v).transpose(1, 2).reshape(batch, length, WIDTH)
        x = self.norm1(x + self.drop(self.out(mixed)))
        return self.norm2(x + self.drop(self.down(F.gelu(self.up(x)))))


class MiniLM(nn.Module):  # type: ignore[misc]  # torch is not installed where mypy runs
    """Token numbers to one vector a token, each seen in its context."""

    def __init__(self) -> None:
        super().__init__()
        self.word, self.place = nn.Embedding(30522, WIDTH), nn.Embedding(512, WIDTH)
        self.kind = nn.Embedding(2, WIDTH)
        self.norm, self.drop = nn.LayerNorm(WIDTH, 1e-12), nn.Dropout(0.1)
        self.layers = nn.ModuleList(Layer() for _ in range(LAYERS))

    def forward(self, input_ids: Any, attention_mask: Any) -> Any:
        """(batch, tokens) int64 twice to (batch, tokens, 384)."""
        places = torch.arange(input_ids.shape[1], device=input_ids.device)
        x = self.drop(self.norm(self.word(input_ids) + self.place(places)[None] + self.kind.weight[0]))
        bias = (1.0 - attention_mask[:, None, None, :].to(x.dtype)) * -10000.0
        for layer in self.layers:
            x = layer(x, bias)
        return x


def load(weights: Path) -> MiniLM:
    """The encoder with the published weights."""
    state = {}
    for stored, tensor in load_file(weights).items():
        name = stored.removeprefix("bert.")
        if match := re.match(r"encoder\.layer\.(\d)\.(.+)\.(weight|bias)$", name):
            state[f"layers.{match[1]}.{_LAYER_NAMES[match[2]]}.{match[3]}"] = tensor
        elif match := re.match(r"embeddings\.(\w+)\.(weight|bias)$", name):
            state[f"{_TABLE_NAMES[match[1]]}.{match[2]}"] = tensor
    model = MiniLM()
    model.load_state_dict(state)
    return model
