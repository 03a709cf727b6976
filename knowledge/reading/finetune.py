"""Fine-tune the sentence encoder on the training utterances and write it as an int8 ONNX file.

Needs torch, safetensors, onnx and the fp32 weights of all-MiniLM-L6-v2 (Apache-2.0, sha256 in WEIGHTS_SHA256),
none of which the program needs at run time:

    python -m knowledge.reading.finetune --weights model.safetensors

Contrastive classification: each utterance is pulled towards a learnt centre of its fault and pushed from the
others (softmax over scaled cosines), while a second head learns the status. Seeds are fixed; on one thread the
result is reproducible to rounding.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import re
import tempfile
from pathlib import Path
from typing import Any

from knowledge.reading.corpus import NONE, STATUSES, Utterance, read_corpus

WEIGHTS_SHA256 = "53aa51172d142c89d9012cce15ae4d6cc0ca6895895114379cacb4fab128d9db"
ENCODER = Path(__file__).parent / "encoder.onnx"
VOCAB = Path(__file__).parent / "vocab.txt"
MAX_TOKENS = 64


def build_model(weights: Path) -> Any:
    """The six-layer encoder in plain torch with the published weights loaded; mean pooling, unit length."""
    import torch
    from safetensors.torch import load_file
    from torch import nn
    from torch.nn import functional as F

    class Layer(nn.Module):  # type: ignore[misc]  # torch is not installed where mypy runs
        def __init__(self) -> None:
            super().__init__()
            self.query, self.key, self.value, self.out = (nn.Linear(384, 384) for _ in range(4))
            self.norm1, self.norm2 = nn.LayerNorm(384, 1e-12), nn.LayerNorm(384, 1e-12)
            self.up, self.down = nn.Linear(384, 1536), nn.Linear(1536, 384)
            self.drop = nn.Dropout(0.1)

        def forward(self, x: Any, bias: Any) -> Any:
            batch, length, _ = x.shape
            q, k, v = (
                part(x).view(batch, length, 12, 32).transpose(1, 2)
                for part in (self.query, self.key, self.value)
            )
            weight = torch.softmax(q @ k.transpose(-1, -2) / 32**0.5 + bias, -1)
            mixed = (self.drop(weight) @ v).transpose(1, 2).reshape(batch, length, 384)
            x = self.norm1(x + self.drop(self.out(mixed)))
            return self.norm2(x + self.drop(self.down(F.gelu(self.up(x)))))

    class Encoder(nn.Module):  # type: ignore[misc]  # the same
        def __init__(self) -> None:
            super().__init__()
            self.word, self.place = nn.Embedding(30522, 384), nn.Embedding(512, 384)
            self.kind = nn.Embedding(2, 384)
            self.norm, self.drop = nn.LayerNorm(384, 1e-12), nn.Dropout(0.1)
            self.layers = nn.ModuleList(Layer() for _ in range(6))

        def forward(self, input_ids: Any, attention_mask: Any) -> Any:
            places = torch.arange(input_ids.shape[1], device=input_ids.device)
            x = self.word(input_ids) + self.place(places)[None] + self.kind.weight[0]
            x = self.drop(self.norm(x))
            bias = (1.0 - attention_mask[:, None, None, :].to(x.dtype)) * -10000.0
            for layer in self.layers:
                x = layer(x, bias)
            mask = attention_mask[..., None].to(x.dtype)
            pooled = (x * mask).sum(1) / mask.sum(1)
            return F.normalize(pooled, dim=-1)

    names = {
        "attention.self.query": "query",
        "attention.self.key": "key",
        "attention.self.value": "value",
        "attention.output.dense": "out",
        "attention.output.LayerNorm": "norm1",
        "intermediate.dense": "up",
        "output.dense": "down",
        "output.LayerNorm": "norm2",
    }
    tables = {
        "word_embeddings": "word",
        "position_embeddings": "place",
        "token_type_embeddings": "kind",
        "LayerNorm": "norm",
    }
    state = {}
    for stored, tensor in load_file(weights).items():
        name = stored.removeprefix("bert.")
        if match := re.match(r"encoder\.layer\.(\d)\.(.+)\.(weight|bias)$", name):
            state[f"layers.{match[1]}.{names[match[2]]}.{match[3]}"] = tensor
        elif match := re.match(r"embeddings\.(\w+)\.(weight|bias)$", name):
            state[f"{tables[match[1]]}.{match[2]}"] = tensor
    model = Encoder()
    model.load_state_dict(state)
    return model


def roughen(text: str, rng: random.Random) -> str:
    """The same words as they come from a phone or a dictation: case and stops lost, a typing slip, a word lost."""
    draw = rng.random()
    if draw < 0.30:
        text = re.sub(r"[.,;:!?\"]", "", text.lower())
    words = text.split()
    if len(words) > 4 and rng.random() < 0.25:
        words.pop(rng.randrange(len(words)))
    if words and rng.random() < 0.20:
        at = rng.randrange(len(words))
        word = words[at]
        if len(word) > 3:
            spot = rng.randrange(1, len(word) - 1)
            swapped = word[:spot] + word[spot + 1] + word[spot] + word[spot + 2 :]
            words[at] = rng.choice(
                [swapped, word[:spot] + word[spot + 1 :], word[:spot] + word[spot] + word[spot:]]
            )
    return " ".join(words)


def train(utterances: list[Utterance], weights: Path, epochs: int, seed: int = 7, log: Any = print) -> Any:
    """The fine-tuned encoder, from (N) utterances."""
    import torch
    from tokenizers import BertWordPieceTokenizer
    from torch import nn
    from torch.nn import functional as F

    torch.manual_seed(seed)
    rng = random.Random(seed)
    tokens = BertWordPieceTokenizer(str(VOCAB), lowercase=True)
    tokens.enable_truncation(MAX_TOKENS)
    model = build_model(weights)
    faults = [*sorted({u.fault for u in utterances if u.fault != NONE}), NONE]
    target = {fault: number for number, fault in enumerate(faults)}
    centres = nn.Parameter(torch.randn(len(faults), 384) * 0.02)
    status_head = nn.Linear(384, len(STATUSES))
    with torch.no_grad():
        model.eval()
        sums = torch.zeros(len(faults), 384)
        for start in range(0, len(utterances), 128):
            part = utterances[start : start + 128]
            vectors = model(*_batch(tokens, [u.text for u in part]))
            for row, u in zip(vectors, part, strict=True):
                sums[target[u.fault]] += row
        centres.copy_(F.normalize(sums, dim=-1))
    groups = [
        {"params": model.parameters(), "lr": 1.5e-4},
        {"params": [centres, *status_head.parameters()], "lr": 1e-3},
    ]
    optimiser = torch.optim.AdamW(groups, weight_decay=0.01)
    size = 64
    steps = epochs * (len(utterances) // size + 1)
    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimiser, lambda step: min(1.0, step / (0.1 * steps)) * max(0.0, 1.0 - step / steps)
    )
    for epoch in range(epochs):
        order = list(range(len(utterances)))
        rng.shuffle(order)
        # near lengths together: less padding, the same expectation
        chunks = [
            sorted(order[at : at + size * 16], key=lambda n: len(utterances[n].text))
            for at in range(0, len(order), size * 16)
        ]
        batches = [chunk[at : at + size] for chunk in chunks for at in range(0, len(chunk), size)]
        rng.shuffle(batches)
        model.train()
        total = 0.0
        for batch in batches:
            part = [utterances[n] for n in batch]
            vectors = model(*_batch(tokens, [roughen(u.text, rng) for u in part]))
            logits = 20.0 * vectors @ F.normalize(centres, dim=-1).T
            goal = torch.tensor([target[u.fault] for u in part])
            loss = F.cross_entropy(logits, goal, label_smoothing=0.1)
            known = torch.tensor([u.fault != NONE for u in part])
            if bool(known.any()):
                state = torch.tensor([STATUSES.index(u.status) for u in part])
                loss = loss + 0.5 * F.cross_entropy(8.0 * status_head(vectors)[known], state[known])
            optimiser.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(model.parameters(), 1.0)
            optimiser.step()
            schedule.step()
            total += loss.item() * len(part)
        log(f"epoch {epoch + 1}/{epochs}  loss {total / len(utterances):.3f}", flush=True)
    model.eval()
    return model


def _batch(tokens: Any, texts: list[str]) -> tuple[Any, Any]:
    import torch

    coded = [tokens.encode(text).ids for text in texts]
    width = max(map(len, coded))
    ids = torch.zeros(len(coded), width, dtype=torch.long)
    mask = torch.zeros(len(coded), width, dtype=torch.long)
    for row, code in enumerate(coded):
        ids[row, : len(code)] = torch.tensor(code)
        mask[row, : len(code)] = 1
    return ids, mask


def export(model: Any, path: Path) -> None:
    """Write the encoder as int8 ONNX.

    Inputs ``input_ids`` and ``attention_mask`` (batch, tokens) int64; output ``vector`` (batch, 384).
    """
    import torch
    from onnxruntime.quantization import QuantType, quantize_dynamic

    with tempfile.TemporaryDirectory() as folder:
        full = Path(folder) / "full.onnx"
        sample = (torch.ones(2, 9, dtype=torch.long), torch.ones(2, 9, dtype=torch.long))
        axes = {0: "batch", 1: "tokens"}
        torch.onnx.export(
            model,
            sample,
            str(full),
            input_names=["input_ids", "attention_mask"],
            output_names=["vector"],
            dynamic_axes={"input_ids": axes, "attention_mask": axes, "vector": {0: "batch"}},
            opset_version=17,
            dynamo=False,
        )
        quantize_dynamic(
            str(full), str(path), weight_type=QuantType.QInt8, per_channel=True, reduce_range=True
        )


def main() -> None:
    """Command line of the script."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--weights", type=Path, required=True, help="fp32 weights (.safetensors)")
    parser.add_argument("--out", type=Path, default=ENCODER)
    parser.add_argument("--epochs", type=int, default=4)
    parser.add_argument("--without-hand", default="", help="leave one hand out, to validate on it")
    args = parser.parse_args()
    if hashlib.sha256(args.weights.read_bytes()).hexdigest() != WEIGHTS_SHA256:
        raise SystemExit(f"{args.weights} is not the published file (sha256 {WEIGHTS_SHA256}).")
    utterances = [u for u in read_corpus() if u.hand != args.without_hand]
    model = train(utterances, args.weights, args.epochs)
    export(model, args.out)
    print(
        f"{args.out}  {args.out.stat().st_size:,} bytes  sha256 {hashlib.sha256(args.out.read_bytes()).hexdigest()}"
    )


if __name__ == "__main__":
    main()
