"""A progress report as lines and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from journal.progress.standing import total

if TYPE_CHECKING:
    from journal.desk import Desk
    from journal.progress.rates import Rate
    from journal.progress.report import DrillProgress, FaultProgress, Report
    from journal.progress.standing import Standing
    from journal.sharing.charts import Chart


def rate_json(rate: Rate) -> dict[str, Any]:
    low, high = rate.interval() if rate.rate else (None, None)
    return {
        "mean": round(rate.mean, 4) if rate.rate else None,
        "low": low and round(low, 4),
        "high": high and round(high, 4),
    }


def report_json(found: Report) -> dict[str, Any]:
    """The whole page as one object."""
    ladders = found.ladders
    return {
        "notes": found.notes,
        "faults": [_fault_json(each) for each in found.faults],
        "drills": [_drill_json(each) for each in found.drills],
        "ladder": ladders
        and {"level": ladders.level, "low": ladders.low, "high": ladders.high, "tries": ladders.tries},
        "change": _change_json(found),
        "match_against_practice": [
            {
                "fault": fault,
                "match": rate_json(match),
                "practice": rate_json(practice),
                "chance_more_in_matches": chance,
            }
            for fault, match, practice, chance in found.match_against_practice
        ],
    }


def _fault_json(each: FaultProgress) -> dict[str, Any]:
    return {
        "fault": each.fault,
        "unit": each.unit,
        **rate_json(each.rate),
        "coming_back_since": each.coming_back,
        "chance_fell": each.away,
        "sessions": len(each.sessions),
    }


def _drill_json(each: DrillProgress) -> dict[str, Any]:
    low, high = each.score.interval()
    return {
        "drill": each.ref,
        "hits": each.hits,
        "tries": each.tries,
        "low": low,
        "high": high,
        "chance_better_now": each.trend.chance if each.trend else None,
        "more": each.trend.more if each.trend else None,
    }


def _change_json(found: Report) -> dict[str, Any] | None:
    how = found.standing
    if how is None:
        return None
    return {"fault": how.change.fault, "stop_on": how.change.stop_on, **standing_json(how)}


def standing_json(how: Standing) -> dict[str, Any]:
    """How a change goes. before, now: [amount, size] of what decides."""
    verdict, both = how.verdict, bool(how.evidence.before and how.evidence.after)
    return {
        "day": how.day,
        "days": how.days,
        "decided_by": how.evidence.what,
        "before": list(total(how.evidence.before)),
        "now": list(total(how.evidence.after)),
        "low": round(verdict.after[1], 4) if how.evidence.after else None,
        "high": round(verdict.after[2], 4) if how.evidence.after else None,
        "proposal": str(verdict.status),
        "better": verdict.better,
        "helped": verdict.helped,
        "chance": round(verdict.chance, 4) if both else None,
        "p": round(verdict.p, 4),
        "p_steady_progress": round(verdict.step, 4),
        "words": how.words,
    }


def standing_lines(how: Standing) -> list[str]:
    """The same in lines."""
    lines = [f"{how.when[:1].upper()}{how.when[1:]}. {how.words}"]
    if how.due:
        lines.append(f"The figures propose: {how.verdict.status}.")
    return lines


def report_parts(found: Report, desk: Desk) -> list[str | Chart]:
    """The page: lines and charts in their order."""
    lines = [*_change_lines(found), *_fault_parts(found, desk), *_drill_parts(found, desk)]
    if found.ladders is not None:
        each = found.ladders
        lines += [
            "",
            f"Ladders: half of the balls go on rung {each.level:.1f} "
            f"({each.low:.1f}–{each.high:.1f}), from {each.tries} tries",
        ]
    for fault, match, practice, chance in found.match_against_practice:
        if max(chance, 1 - chance) >= 0.95:
            more = "matches" if chance > 0.5 else "practice"
            lines.append(
                f"{name_of(desk, fault)}: more in {more} "
                f"({match.mean:.1f} against {practice.mean:.1f} a session)"
            )
    return lines or ["Nothing to show yet: write a note or store a score first."]


def lines_of(parts: Sequence[str | Chart]) -> list[str]:
    """The page in plain characters."""
    return [line for part in parts for line in ([part] if isinstance(part, str) else part.lines())]


def _change_lines(found: Report) -> list[str]:
    how = found.standing
    if how is None:
        return []
    head = f"The change: {how.change.instruction} (until {how.change.stop_on.isoformat()})"
    return [head, *(f"  {line}" for line in standing_lines(how))]


def _fault_parts(found: Report, desk: Desk) -> list[str | Chart]:
    from journal.progress.report import shown_faults
    from journal.sharing.charts import Row, RowsChart

    faults = [f for f in shown_faults(found) if f.rate.rate]
    if not faults:
        return []
    rows = []
    for each in faults[:10]:
        low, high = each.rate.interval()
        few = " few notes" if len(each.sessions) < 3 else ""
        rows.append(
            Row(
                name_of(desk, each.fault),
                low,
                each.rate.mean,
                high,
                f"{each.rate.mean:.1f} a {each.unit}{few}",
            )
        )
    lines: list[str | Chart] = ["", RowsChart("How often, now, with 95 % spread", tuple(rows))]
    for each in faults:
        if each.coming_back is not None:
            lines.append(
                f"! {name_of(desk, each.fault)} is coming back, since {each.coming_back.isoformat()}"
            )
        elif each.away is not None and each.away >= 0.95:
            lines.append(
                f"  {name_of(desk, each.fault)} is going away (chance {min(99, round(100 * each.away))} %)"
            )
    if len(faults) > 5:
        lines.append("With several rates at once some look good or bad by chance.")
    return lines


def _drill_parts(found: Report, desk: Desk) -> list[str | Chart]:
    from journal.sharing.charts import Row, RowsChart

    if not found.drills:
        return []
    rows = [
        Row(name_of(desk, d.ref), *around(d.score.interval(), d.hits / d.tries), f"{d.hits}/{d.tries}")
        for d in sorted(found.drills, key=lambda d: -d.tries)[:10]
    ]
    title = "Drills, hits of tries, with 95 % spread"
    lines: list[str | Chart] = ["", RowsChart(title, tuple(rows), 1.0, percent=True)]
    lines += [
        f"  {name_of(desk, d.ref)}: {d.trend.sentence('earlier', 'lately')}" for d in found.drills if d.trend
    ]
    return lines


def around(interval: tuple[float, float], middle: float) -> tuple[float, float, float]:
    return min(interval[0], middle), middle, max(interval[1], middle)


def name_of(desk: Desk, ref: str) -> str:
    entry = desk.rules.faults.get(ref) or desk.rules.drills.get(ref)
    return entry.name if entry else ref
