# Five words: venv, demo, test, bench, lint. Everything needed comes from PyPI, pinned in requirements*.lock.
PYTHON ?= python3
BIN := .venv/bin
STAMP := .venv/.installed
BENCH_STAMP := .venv-bench/.installed

.PHONY: venv demo test bench lint lock figures clean browser

venv: $(STAMP)

# --without-pip and `pip --python`: a bare Debian has pip but not always the ensurepip that `venv` wants.
$(STAMP): requirements.lock pyproject.toml
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "chaincase needs Python 3.11 or newer, this is " + sys.version)'
	$(PYTHON) -m venv --without-pip --clear .venv
	$(PYTHON) -m pip --python $(BIN)/python install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(PYTHON) -m pip --python $(BIN)/python install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

demo: venv
	$(BIN)/chaincase demo

lint: venv
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/chaincase catalog check

# The browser of the browser tests: Debian's. Where it cannot be had, those tests say so and are left out.
browser:
	@command -v chromium >/dev/null || { \
		test "$$(id -u)" = 0 && command -v apt-get >/dev/null && \
		apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -qq -y --no-install-recommends chromium >/dev/null; \
	} || echo "There is no chromium, and it cannot be installed: the browser tests are left out. Install it: apt-get install chromium"

test: lint browser
	$(BIN)/pytest -n 2

# An environment of its own: the peers that it measures beside are large, and nothing else needs them.
$(BENCH_STAMP): requirements-bench.lock pyproject.toml
	$(PYTHON) -m venv --without-pip --clear .venv-bench
	$(PYTHON) -m pip --python .venv-bench/bin/python install --quiet --disable-pip-version-check --require-hashes -r requirements-bench.lock
	$(PYTHON) -m pip --python .venv-bench/bin/python install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

bench: $(BENCH_STAMP)
	.venv-bench/bin/python benchmarks/run.py

# Pins every dependency with its hashes, without naming an index.
lock:
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-annotate --no-header \
		--all-extras --group dev --output-file requirements.lock pyproject.toml
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-annotate --no-header \
		--group bench --output-file requirements-bench.lock pyproject.toml

# One chain of each kind side by side, for docs/figures.md.
figures: venv
	$(BIN)/chaincase figure --all -o docs/figures.png

clean:
	rm -rf .venv .venv-bench demo-out
