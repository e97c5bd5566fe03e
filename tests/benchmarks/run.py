"""One table of speeds: ours compared with the bare library, as ratios in one run. Not part of the tests.

    python tests/benchmarks/run.py [--small] [NAME ...]

Every module `*_rows.py` here has `rows(...)`, which gives (name, our seconds, the bare library's seconds, the
ratio not to be exceeded, or None). `--small` runs a quick check; NAME selects modules (`tbx`, `list`...).
"""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

HERE = Path(__file__).parent
SMALL = {"tbx": {"size": 5_000}, "glossary": {"size": 300}, "finding": {"entries": 10_000, "queries": 100}}


def main(arguments: list[str]) -> int:
    """Print the table; exit status 1 if a ratio exceeds its goal."""
    sys.path.insert(0, str(HERE.parent.parent))
    wanted = {a for a in arguments if not a.startswith("-")}
    table = []
    for path in sorted(HERE.glob("*_rows.py")):
        name = path.stem.removesuffix("_rows")
        if wanted and name not in wanted:
            continue
        print(f"... {name}", file=sys.stderr)
        table += _load(path).rows(**(SMALL.get(name, {}) if "--small" in arguments else {}))
    print(f"{'what':<58} {'ours':>10} {'bare':>10} {'ratio':>8} {'goal':>8}")
    over = 0
    for what, ours, bare, goal in table:
        ratio = ours / bare
        missed = goal is not None and ratio > goal
        over += missed
        limit = "-" if goal is None else f"{goal:.3g}"
        print(
            f"{what:<58} {_shown(ours)} {_shown(bare)} {ratio:>8.3g} {limit:>8}{'  over' if missed else ''}"
        )
    return 1 if over else 0


def _shown(seconds: float) -> str:
    return f"{seconds:>8.2f} s" if seconds >= 1 else f"{seconds * 1000:>7.2f} ms"


def _load(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module
    spec.loader.exec_module(module)
    return module


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
