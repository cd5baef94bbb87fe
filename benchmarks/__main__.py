"""Run every benchmark, or those whose module names are given, and print one table."""

import importlib
import pkgutil
import platform
import sys
from collections.abc import Iterable
from dataclasses import asdict, is_dataclass

import benchmarks

#: Modules of this folder that measure nothing themselves.
NOT_BENCHMARKS = {"__main__", "comparison", "cost", "long_score"}


def _rows(name: str) -> Iterable[dict[str, object]]:
    for row in importlib.import_module(f"benchmarks.{name}").run():
        if is_dataclass(row) and not isinstance(row, type):
            yield {**asdict(row), "ratio": getattr(row, "ratio", 0.0)}
        else:
            yield dict(row)


def main(chosen: list[str]) -> None:
    """Print one line per comparison."""
    names = chosen or [m.name for m in pkgutil.iter_modules(benchmarks.__path__) if m.name not in NOT_BENCHMARKS]
    print(f"Python {platform.python_version()}, {platform.machine()}")
    print(f"{'work':64} {'ours':>12} {'peer':>12} {'times faster':>13}  against, target")
    for name in names:
        for row in _rows(name):
            against = "; ".join(str(row[key]) for key in ("peer", "target") if row.get(key))
            if "ours_mb" in row:
                print(f"{row['name']!s:64} {float(row['ours_mb']):9.1f} MB {'-':>12} {'-':>13}  {against}", flush=True)
                continue
            ours, peer = float(row["ours_s"]), float(row.get("peer_s") or 0)
            ratio = f"{float(row['ratio']):.1f}" if peer else "-"
            peer_text = f"{1000 * peer:.4f} ms" if peer else "-"
            print(f"{row['name']!s:64} {1000 * ours:9.4f} ms {peer_text:>12} {ratio:>13}  {against}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
