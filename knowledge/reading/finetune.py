"""Fine-tune the sentence encoder on the training utterances and reflections; write it as an int8 ONNX file.

Needs torch, safetensors, onnx and the fp32 weights of all-MiniLM-L6-v2 (Apache-2.0, sha256 in WEIGHTS_SHA256),
none of which the program needs at run time:

    python -m knowledge.reading.finetune --weights model.safetensors

Contrastive classification: the mean of a clause's token vectors, each seen in the context of its whole note, is
pulled towards a learnt centre of its fault and pushed from the others (softmax over scaled cosines); a second head
learns the status. Seeds are fixed; on one thread the result is reproducible to rounding.
"""

from __future__ import annotations

import argparse
import hashlib
import random
import tempfile
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import torch
from tokenizers import BertWordPieceTokenizer
from torch import nn
from torch.nn import functional as F
from torch.optim.swa_utils import AveragedModel, get_ema_multi_avg_fn

from knowledge.reading.corpus import NONE, STATUSES, Utterance, read_notes
from knowledge.reading.encoder import NOTE_TOKENS, VOCAB
from knowledge.reading.lessons import Clause, Document, Mark, epoch, split_notes, topics
from knowledge.reading.minilm import WIDTH, MiniLM, load
from knowledge.reading.train import singles

WEIGHTS_SHA256 = "53aa51172d142c89d9012cce15ae4d6cc0ca6895895114379cacb4fab128d9db"
ENCODER = Path(__file__).parent / "encoder.onnx"
TOKENS_A_STEP = 640
HIDDEN = 103
"""The vocabulary's [MASK]; below it stand padding, the unknown and the ends of a text."""
SHARPNESS = 20.0
RATE, HEAD_RATE = 1.5e-4, 1e-3
SMOOTHING = 0.05
STATUS_WEIGHT = 1.0
MARK_WEIGHTS = {"words": 1.0, "numbers": 0.3, "scores": 0.2}
MASKED = 0.07
"""Share of tokens hidden from the encoder in training, so that no single word carries a clause."""
AVERAGED = 0.998
"""What is shipped is the running mean of the weights, of which each step keeps this much."""


class Heads(nn.Module):  # type: ignore[misc]  # torch is not installed where mypy runs
    """Topic centres and the status layer over a clause's vector; layers that tell clause starts and counts."""

    def __init__(self, classes: int) -> None:
        super().__init__()
        self.centres = nn.Parameter(torch.randn(classes, WIDTH) * 0.02)
        self.offsets = nn.Parameter(torch.zeros(classes))
        self.status = nn.Linear(WIDTH, len(STATUSES))
        self.words, self.numbers, self.scores = (nn.Linear(WIDTH, 1) for _ in range(3))

    def clause_loss(self, vectors: Any, clauses: Sequence[Clause], target: dict[str, int]) -> Any:
        """What the unit vectors (clauses, 384) cost as topics, and as statuses where a fault is spoken of."""
        topic = SHARPNESS * vectors @ F.normalize(self.centres, dim=-1).T + self.offsets
        goal = torch.tensor([target[c.fault] for c in clauses])
        loss = F.cross_entropy(topic, goal, label_smoothing=SMOOTHING)
        known = torch.tensor([c.fault != NONE for c in clauses])
        if bool(known.any()):
            state = torch.tensor([STATUSES.index(c.status) for c in clauses])[known]
            status = SHARPNESS * self.status(vectors[known])
            loss = loss + STATUS_WEIGHT * F.cross_entropy(status, state, label_smoothing=SMOOTHING)
        return loss

    def mark_loss(self, part: str, vectors: Any, marks: Sequence[Mark]) -> Any:
        """What the unit vectors (marks, 384) of "words", "numbers" or "scores" cost."""
        goal = torch.tensor([float(mark.holds) for mark in marks])
        return F.binary_cross_entropy_with_logits(SHARPNESS * getattr(self, part)(vectors)[:, 0], goal)


def batches(
    documents: Sequence[Document], tokens: Any, rng: random.Random
) -> list[list[tuple[Document, Any]]]:
    """Documents with their codes in groups of near length and about TOKENS_A_STEP tokens, shuffled."""
    coded = [(each, tokens.encode(each.text)) for each in documents]
    coded.sort(key=lambda pair: (len(pair[1].ids), rng.random()))
    groups: list[list[tuple[Document, Any]]] = [[]]
    for pair in coded:
        if groups[-1] and (len(groups[-1]) + 1) * len(pair[1].ids) > TOKENS_A_STEP:
            groups.append([])
        groups[-1].append(pair)
    rng.shuffle(groups)
    return groups


def padded(group: Sequence[tuple[Document, Any]], masked: float = 0.0) -> tuple[Any, Any]:
    """Token numbers and mask, (documents, longest) each; masked: chance of a token to be hidden."""
    width = max(len(code.ids) for _, code in group)
    ids = torch.zeros(len(group), width, dtype=torch.long)
    mask = torch.zeros(len(group), width, dtype=torch.long)
    for number, (_, code) in enumerate(group):
        ids[number, : len(code.ids)] = torch.tensor(code.ids)
        mask[number, : len(code.ids)] = 1
    ids[(torch.rand(ids.shape) < masked) & (ids > HIDDEN)] = HIDDEN
    return ids, mask


def pooled(hidden: Any, group: Sequence[tuple[Document, Any]], part: str) -> tuple[Any, list[Any]]:
    """The unit mean vector of each span of a part that has a token, and those spans.

    part: the documents' "clauses", "words", "numbers" or "scores".
    """
    rows, columns, values, kept = list[int](), list[int](), list[float](), list[Any]()
    for number, (doc, code) in enumerate(group):
        inner = [at for at, (a, b) in enumerate(code.offsets) if a < b]
        starts, ends = ([code.offsets[at][side] for at in inner] for side in (0, 1))
        for span in getattr(doc, part):
            inside = inner[bisect_right(ends, span.start) : bisect_left(starts, span.end)]
            if inside:
                rows += [len(kept)] * len(inside)
                columns += [number * hidden.shape[1] + at for at in inside]
                values += [1 / len(inside)] * len(inside)
                kept.append(span)
    size = (len(kept), hidden.shape[0] * hidden.shape[1])
    weights = torch.sparse_coo_tensor(
        torch.tensor([rows, columns], dtype=torch.long), torch.tensor(values), size, check_invariants=True
    )
    return F.normalize(torch.sparse.mm(weights, hidden.reshape(-1, WIDTH)), dim=-1), kept


def train(
    alone: Sequence[Utterance],
    notes: list[list[Utterance]],
    weights: Path,
    epochs: int,
    seed: int = 7,
    rate: float = RATE,
    log: Callable[..., None] = print,
    start: Path | None = None,
    after: Callable[[Any, Any], None] | None = None,
) -> tuple[MiniLM, Heads]:
    """The fine-tuned encoder and its heads; after: called with both at the end of each epoch."""
    torch.manual_seed(seed)
    rng = random.Random(seed)
    tokens = BertWordPieceTokenizer(str(VOCAB), lowercase=True)
    tokens.enable_truncation(NOTE_TOKENS)
    model = load(weights)
    names = topics([*alone, *(clause for note in notes for clause in note)])
    target = {name: number for number, name in enumerate(names)}
    heads = Heads(len(names))
    if start is not None:
        encoder_state, heads_state = torch.load(start)
        model.load_state_dict(encoder_state)
        heads.load_state_dict(heads_state)
    model.word.weight.requires_grad_(False)
    both = nn.ModuleList([model, heads])
    mean = AveragedModel(both, multi_avg_fn=get_ema_multi_avg_fn(AVERAGED))
    learnt = [each for each in model.parameters() if each.requires_grad]
    optimiser = torch.optim.AdamW(
        [{"params": learnt, "lr": rate}, {"params": heads.parameters(), "lr": HEAD_RATE}],
        weight_decay=0.01,
        fused=True,
    )
    plan = [batches(list(epoch(alone, notes, rng)), tokens, rng) for _ in range(epochs)]
    steps = sum(map(len, plan))
    schedule = torch.optim.lr_scheduler.LambdaLR(
        optimiser, lambda step: min(1.0, step / (0.1 * steps)) * max(0.0, 1.0 - step / steps)
    )
    for number, groups in enumerate(plan, 1):
        model.train()
        total, seen = 0.0, 0
        for group in groups:
            hidden = model(*padded(group, MASKED))
            vectors, spans = pooled(hidden, group, "clauses")
            loss = heads.clause_loss(vectors, spans, target)
            for part, weight in MARK_WEIGHTS.items():
                marked, marks = pooled(hidden, group, part)
                if marks:
                    loss = loss + weight * heads.mark_loss(part, marked, marks)
            optimiser.zero_grad()
            loss.backward()
            nn.utils.clip_grad_norm_(model.parameters(), 1.0)
            optimiser.step()
            schedule.step()
            mean.update_parameters(both)
            total, seen = total + loss.item() * len(spans), seen + len(spans)
        log(f"epoch {number}/{epochs}  {len(groups)} steps  loss {total / seen:.3f}", flush=True)
        if after is not None:
            after(*mean.module.eval())
    return tuple(mean.module.eval())


def export(model: MiniLM, path: Path) -> None:
    """Write the encoder as int8 ONNX.

    Inputs ``input_ids`` and ``attention_mask`` (batch, tokens) int64; output ``tokens`` (batch, tokens, 384).
    """
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
            output_names=["tokens"],
            dynamic_axes={"input_ids": axes, "attention_mask": axes, "tokens": axes},
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
    parser.add_argument("--epochs", type=int, default=6)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--rate", type=float, default=RATE, help="highest learning rate of the encoder")
    parser.add_argument("--without", nargs="*", default=(), metavar="HAND", help="hands not to learn from")
    parser.add_argument("--start", type=Path, help="go on from a state that --keep wrote")
    parser.add_argument("--keep", type=Path, help="write the state, to go on from it")
    args = parser.parse_args()
    if hashlib.sha256(args.weights.read_bytes()).hexdigest() != WEIGHTS_SHA256:
        raise SystemExit(f"{args.weights} is not the published file (sha256 {WEIGHTS_SHA256}).")
    notes = [note for note in split_notes(read_notes())[0] if note[0].hand not in args.without]
    model, heads = train(
        singles()[0], notes, args.weights, args.epochs, args.seed, rate=args.rate, start=args.start
    )
    if args.keep is not None:
        torch.save((model.state_dict(), heads.state_dict()), args.keep)
    export(model, args.out)
    digest = hashlib.sha256(args.out.read_bytes()).hexdigest()
    print(f"{args.out}  {args.out.stat().st_size:,} bytes  sha256 {digest}")


if __name__ == "__main__":
    main()
