# One command a chore; CI calls the same ones.
PYTHON ?= python3
VENV ?= .venv
BIN = $(VENV)/bin
RUN = PYTHONPATH=host:tests $(BIN)/python

.PHONY: demo test check bench pictures firmware clean debian
.DELETE_ON_ERROR:

# DEMO_RUNS=1 ends it by itself after one run; otherwise it serves until Ctrl-C.
demo: $(VENV)/runtime
	@$(BIN)/unspool demo

test: debian check
	$(BIN)/pytest

check: $(VENV)/dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

bench: debian $(VENV)/dev
	@$(RUN) -m bench

firmware: debian
	$(MAKE) -C firmware

# The README's pictures, from the demo's own run.
pictures: debian $(VENV)/dev
	$(RUN) docs/make_pictures.py

$(VENV)/runtime: pyproject.toml
	@./.ci/venv "$(PYTHON)" "$(VENV)"
	@echo "unspool: installing into $(VENV); the first time takes a minute or two" >&2
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable .
	@touch $@

$(VENV)/dev: $(VENV)/runtime pyproject.toml
	@echo "unspool: installing what the tests need into $(VENV)" >&2
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --editable '.[dev]'
	@touch $@

# As root, installs what the firmware and browser tests need; otherwise says what is missing.
debian:
	@./.ci/debian-packages

clean:
	rm -rf $(VENV) build dist host/*.egg-info firmware/build
