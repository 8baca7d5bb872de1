# One command a chore; CI calls the same ones.
PYTHON ?= python3
VENV ?= .venv
BIN = $(VENV)/bin
RUN = PYTHONPATH=host:tests $(BIN)/python

.PHONY: demo test check bench fuzz hard pictures catalogues firmware lock grid clean debian
.DELETE_ON_ERROR:

# DEMO_RUNS=1 ends it by itself after one run; otherwise it serves until Ctrl-C.
demo: $(VENV)/runtime
	@$(BIN)/unspool demo

test: debian check
	$(BIN)/pytest -n auto --dist loadscope --no-loadscope-reorder

check: $(VENV)/dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	@$(RUN) -m prose

bench: debian $(VENV)/dev
	@$(RUN) -m bench

# Random and mutated input, for some ten minutes; `make test` runs shorter ones.
FUZZ_CORE = firmware/build/fuzz-core
fuzz: debian $(VENV)/dev
	@mkdir -p firmware/build
	gcc -std=c11 -g -O1 -fsanitize=address,undefined -fno-sanitize-recover=all -DOWN_DRIVER \
	  -Ifirmware/core tests/fuzz/core.c firmware/core/*.c -o $(FUZZ_CORE)
	$(FUZZ_CORE) $$(date +%s) 5000000
	$(RUN) tests/fuzz/line.py native 1000 300
	$(RUN) tests/fuzz/line.py chip 1000 100
	$(BIN)/python -m pip install --quiet --disable-pip-version-check atheris
	cd firmware/build && ../../$(BIN)/python ../../tests/fuzz/conversation.py -runs=1000000 -max_len=1200

# Hard use of every kind for about an hour; goes on from where it was broken off. `make test` runs a
# short form. HARD='--only cars --seed 7' chooses; tests/hard/__main__.py lists what can be given.
hard: debian $(VENV)/dev
	@$(RUN) -m hard $(HARD)

# Takes new messages into host/unspool/locale/*.po and says how many are not translated.
catalogues: $(VENV)/dev
	@$(RUN) -m catalogues

firmware: debian
	$(MAKE) -C firmware

# The pictures of README and docs/ten-minutes.md, from the demo's runs; the tables and pictures of docs/questions.md.
pictures: debian $(VENV)/dev
	$(RUN) docs/make_pictures.py
	$(RUN) docs/make_questions.py
	$(RUN) hardware/make_drawings.py

# Exactly the files that were tested; pyproject.toml names ranges for other ways of installing.
PIP = $(BIN)/python -m pip install --quiet --disable-pip-version-check
$(VENV)/runtime: pyproject.toml requirements/run.txt
	@./.ci/venv "$(PYTHON)" "$(VENV)"
	@echo "unspool: installing into $(VENV); the first time takes a minute or two" >&2
	@$(PIP) --require-hashes --requirement requirements/run.txt
	@$(PIP) --no-deps --editable .
	@touch $@

$(VENV)/dev: $(VENV)/runtime requirements/dev.txt
	@echo "unspool: installing what the tests need into $(VENV)" >&2
	@$(PIP) --require-hashes --requirement requirements/dev.txt
	@touch $@

# Chooses the newest versions that pyproject.toml allows, for every system and Python that it names.
LOCK = $(BIN)/uv pip compile pyproject.toml --quiet --universal --python-version 3.11 \
  --generate-hashes --no-annotate --custom-compile-command 'make lock' --upgrade
lock: $(VENV)/runtime
	@$(PIP) uv
	$(LOCK) --output-file requirements/run.txt
	$(LOCK) --extra dev --output-file requirements/dev.txt

# The table of the Logbook, packed of its library's parts that we use. Needs node.
grid:
	@./.ci/grid/build

# As root, installs what the firmware and browser tests need; otherwise says what is missing.
debian:
	@./.ci/debian-packages

clean:
	rm -rf $(VENV) build dist host/*.egg-info firmware/build
