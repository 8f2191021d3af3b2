# Two commands: `make run` opens the desk on the demo season, `make test` runs every test.
# Everything happens in .venv; nothing outside this folder is touched.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/.installed
ADDRESS ?= 127.0.0.1:8000

.PHONY: run test demo lint types bench pictures lock clean

run: $(STAMP)
	$(BIN)/python manage.py migrate --verbosity 0
	$(BIN)/python manage.py demo
	$(BIN)/python manage.py papers --next --out out
	$(BIN)/python manage.py serve --address $(ADDRESS)

test: $(STAMP)
	$(BIN)/python -m tests

.venv: $(STAMP)

$(STAMP): requirements-dev.lock
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	touch $(STAMP)

lint: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	$(BIN)/python manage.py makemigrations --check --dry-run

types: $(STAMP)
	$(BIN)/mypy guiding bookings equipment

bench: $(STAMP)
	$(BIN)/python -m pytest tests/bench --benchmark-only --benchmark-columns=median,ops -q

clean:
	rm -rf $(VENV) build dist *.egg-info tests/.made

# Resolve every dependency anew, for all systems at once.
lock:
	$(PYTHON) -m venv .lock-tools
	.lock-tools/bin/python -m pip install --quiet uv
	for all in "-o requirements-dev.lock --extra test --extra lint" "-c requirements-dev.lock -o requirements.lock"; do \
	  .lock-tools/bin/uv pip compile --quiet --upgrade --universal --python-version 3.11 --generate-hashes \
	    --no-emit-index-url --no-emit-find-links --no-header --no-annotate \
	    --extra postgres --extra server $$all pyproject.toml; \
	done
	rm -rf .lock-tools

pictures: $(STAMP)
	$(BIN)/python -m tests.pictures
