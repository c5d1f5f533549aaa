"""Measures speed and writes docs/speed.md and docs/speed.svg: `python benchmarks/run.py [--quick]`."""

import argparse
import os
import sys
from pathlib import Path

# Thread pools of linear algebra would fight each other and the two processes of a survey.
for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")
_ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(_ROOT / "tests"))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="fewer sizes, cases and samples; nothing is written")
    quick = parser.parse_args().quick

    import packaged
    import pull_sweep
    from growth import SIZES, growth
    from recall import recall
    from report import page
    from surveying import survey

    print("the packaged tables ...", flush=True)
    load = packaged.load_seconds(3 if quick else 7)
    demo, sampled = packaged.demo_ms(5 if quick else 15), packaged.sampled_ms(20 if quick else 60, 3)
    print("growth ...", flush=True)
    timings = growth(SIZES[:3] if quick else SIZES, 6 if quick else 15)
    print("recall ...", flush=True)
    recalled = recall(20_000 if quick else 100_000, 1_000 if quick else 20_500)
    print("survey ...", flush=True)
    surveyed = survey(20_000, 500) if quick else survey(100_000, 10_000)
    text = page(load, demo, sampled, timings, recalled, surveyed, pull_sweep.run())
    print(text)
    if not quick:
        from plot import draw

        (_ROOT / "docs" / "speed.md").write_text(text, encoding="utf-8")
        draw(timings, _ROOT / "docs" / "speed.svg")


if __name__ == "__main__":
    main()
