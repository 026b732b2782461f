# tappetry: everything a developer or a shop does with this folder. `make help` lists it.

PYTHON ?= python3
BIN    := .venv/bin
STAMP  := .venv/set-up
OUT    := out
DIST   := dist

.DEFAULT_GOAL := help
.PHONY: help setup demo wheel test check static bench screens soak clean

help:
	@echo "make setup    Make .venv with the locked libraries and the program (about half a minute; at once if nothing changed)."
	@echo "make demo     Work the jobs of the invented shop and write their papers to $(OUT)/ (about a minute)."
	@echo "make wheel    Build the program as one file to install, with all its data, in $(DIST)/ (at once)."
	@echo "make check    Lint, format, types, rooms and the fast tests (under a minute): before every commit."
	@echo "make test     What 'check' does, and every test (several minutes): before every release."
	@echo "make soak     Every test again with many more random examples each (an hour or more)."
	@echo "make bench    Measure the program against a reference in the same run (several minutes)."
	@echo "make screens  Turn the PDFs in $(OUT)/ and every page of the app into pictures in $(OUT)/screens/ (a minute)."
	@echo "make clean    Remove what the other targets made, all but .venv (at once)."

setup: $(STAMP)
	@echo "setup: .venv holds what the lock says; the program is $(BIN)/tappetry"

$(STAMP): pyproject.toml requirements/bootstrap.txt requirements/dev.txt
	@echo "setup: making .venv with the locked libraries (about half a minute, longer on a slow line) ..."
	@$(PYTHON) -c 'import sys; sys.exit(0 if sys.version_info >= (3, 11) else "setup: $(PYTHON) is Python %d.%d; tappetry needs 3.11 or newer. Try: make setup PYTHON=python3.12" % sys.version_info[:2])'
	@test -x $(BIN)/python || $(PYTHON) -m venv .venv
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/bootstrap.txt
	@$(BIN)/uv pip install --quiet --python $(BIN)/python --require-hashes -r requirements/dev.txt
	@$(BIN)/uv pip install --quiet --python $(BIN)/python --no-deps --no-build-isolation --offline --editable .
	@$(BIN)/python -m tappetry.simulation.ready
	@touch $@

demo: $(STAMP)
	@echo "demo: working the jobs of the invented shop into $(OUT)/ (about a minute) ..."
	@TAPPETRY_HOME=$(OUT)/demo-home $(BIN)/tappetry demo --out $(OUT)

wheel: $(STAMP)
	@echo "wheel: building the program with all its data into $(DIST)/ (at once) ..."
	@$(BIN)/uv build --quiet --wheel --no-build-isolation --offline --python $(BIN)/python --out-dir $(DIST) .

static: $(STAMP)
	@echo "static: lint, format, types and rooms (about half a minute the first time, then some seconds) ..."
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/mypy
	@$(BIN)/lint-imports --no-logo

check: $(STAMP)
	@scripts/system-packages
	@$(MAKE) --no-print-directory static
	@echo "check: the fast tests (under a minute) ..."
	@$(BIN)/python -m pytest -m "not slow" -n 2

test: $(STAMP)
	@scripts/system-packages
	@$(MAKE) --no-print-directory static
	@echo "test: every test (several minutes) ..."
	@$(BIN)/python -m pytest -n 2

soak: $(STAMP)
	@echo "soak: every test with many more random examples each (an hour or more) ..."
	@$(BIN)/python -m pytest -n 2 --hypothesis-profile=soak
	@$(BIN)/python scripts/api_requests.py

bench: $(STAMP)
	@echo "bench: measuring against a reference in the same run (several minutes) ..."
	@$(BIN)/python -m benchmarks

screens: $(STAMP)
	@scripts/system-packages
	@echo "screens: turning the PDFs in $(OUT)/ and every page of the app into pictures (a minute) ..."
	@$(BIN)/python scripts/screens.py $(OUT) $(OUT)/screens
	@PYTHONPATH=. $(BIN)/python scripts/page_pictures.py $(OUT)/screens/pages

clean:
	@echo "clean: removing $(OUT)/, $(DIST)/ and the caches (at once) ..."
	@rm -rf $(OUT) $(DIST) .mypy_cache .pytest_cache .ruff_cache .hypothesis .import_linter_cache
	@find src tests scripts -name __pycache__ -type d -prune -exec rm -rf {} +
