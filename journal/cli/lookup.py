"""``plainball lookup``: one question over the whole rule base, or one entry's page."""

from __future__ import annotations

import argparse
import shutil
import textwrap
from typing import TYPE_CHECKING, Any

from journal.cli.output import as_json, each_line
from journal.errors import BadInput
from journal.lookup import KINDS, find

if TYPE_CHECKING:
    from journal.pages import Page
    from knowledge.lookup.search import Hit


def add(subparsers: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Register the command."""
    parser = subparsers.add_parser(
        "lookup",
        help="ask the rule base: faults, drills, checks, advice, rules of the game, words",
        description="Ask in your own words; typing errors, half words and trade synonyms are understood.",
    )
    parser.add_argument("words", nargs="*", metavar="WORDS", help="what you want to know")
    parser.add_argument("--kind", action="append", choices=KINDS, metavar="KIND", help=", ".join(KINDS))
    parser.add_argument("--limit", type=int, default=10, metavar="N", help="how many entries at most (10)")
    parser.add_argument("--show", metavar="ID", help="print this entry's whole page")
    parser.add_argument("--json", action="store_true", help="one JSON object instead of text")
    parser.add_argument("--jsonl", metavar="FILE", help='one {"id", "query"} a line in, one answer out')
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print what was found; 1 when nothing was. Raises: BadInput, UnknownEntry."""
    if args.limit < 1:
        raise BadInput("--limit must be 1 or more", "Leave it out for ten entries.")
    if args.show:
        return _show(args)
    if args.jsonl:
        each_line(args.jsonl, "query", lambda query: {"results": _results(args, query)})
        return 0
    query = " ".join(args.words)
    if not query.strip():
        raise BadInput("nothing to look up", 'Write what you want to know: lookup "miscue on the rail".')
    if args.json:
        as_json({"query": query, "results": _results(args, query)})
        return 0
    hits = find(args.desk.lookup, query, args.limit, args.kind)
    if not hits:
        print(f"Nothing found for: {query}\nTry other words, or fewer.")
        return 1
    _print_hits(hits)
    return 0


def _results(args: argparse.Namespace, query: str) -> list[dict[str, Any]]:
    hits = find(args.desk.lookup, query, args.limit, args.kind)
    return [{"kind": hit.kind, "id": hit.id, "title": hit.title, "score": hit.score} for hit in hits]


def _print_hits(hits: list[Hit]) -> None:
    width = max(len(hit.kind) for hit in hits)
    for hit in hits:
        matched = f"words: {', '.join(hit.matched)}" if hit.matched else "by its meaning"
        print(f"{hit.kind.ljust(width)}  {hit.title}")
        print(f"{' ' * width}  {hit.id}  ({matched})")
    print(f"\nThe whole entry: plainball lookup --show {hits[0].id}")


def _show(args: argparse.Namespace) -> int:
    from journal.pages import entry_page

    page = entry_page(args.desk.rules, args.show)
    if args.json:
        from dataclasses import asdict

        as_json(asdict(page))
    else:
        print("\n".join(page_lines(page, min(shutil.get_terminal_size().columns, 100))))
    return 0


def page_lines(page: Page, width: int = 80) -> list[str]:
    """A page as lines no wider than this, links as ids in angle brackets, sources in square brackets."""
    lines = [
        *textwrap.wrap(page.title, width),
        f"{page.kind} {page.id}" + ("  (your own entry)" if page.own else ""),
    ]
    for section in page.sections:
        lines += ["", *textwrap.wrap(section.heading, width)]
        for line in section.lines:
            text = line.text + (f" [{line.source}]" if line.source else "")
            text += f" <{line.link}>" if line.link else ""
            mark = "- " if len(section.lines) > 1 else ""
            lines += textwrap.wrap(
                mark + text,
                width,
                initial_indent="  ",
                subsequent_indent="    " if mark else "  ",
                break_on_hyphens=False,
            )
    if page.source:
        lines += ["", *textwrap.wrap(f"Source: {page.source}", width, subsequent_indent="  ")]
    return lines
