# One command a chore; CI calls the same ones.
PYTHON ?= python3
VENV ?= .venv
BIN = $(VENV)/bin
RUN = PYTHONPATH=host:tests $(BIN)/python

.PHONY: demo test check bench clean debian

demo: $(VENV)/runtime
	$(BIN)/unspool demo

test: debian $(VENV)/dev check
	$(BIN)/pytest

check: $(VENV)/dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

bench: debian $(VENV)/dev
	$(RUN) -m bench

$(VENV)/runtime: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/pip install --quiet --upgrade pip
	$(BIN)/pip install --quiet --editable .
	touch $@

$(VENV)/dev: $(VENV)/runtime
	$(BIN)/pip install --quiet --editable '.[dev]'
	touch $@

# As root, installs what the firmware and browser tests need; otherwise says what is missing.
debian:
	./.ci/debian-packages

clean:
	rm -rf $(VENV) build dist host/*.egg-info
