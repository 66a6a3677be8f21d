# Everything a person types. `make demo` and `make test` work from nothing but
# python3 (3.11 or newer) and make; the rest is for contributors.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PORT ?= 8000
# As many processes as the machine has processors; the broker has databases for sixteen.
WORKERS ?= -n logical --maxprocesses 8

.PHONY: demo test lint types contracts migrations check bench soak api-schema lock clean browser

demo: $(VENV)/run.stamp
	$(BIN)/python manage.py demo --port $(PORT)

test: $(VENV)/test.stamp
	$(BIN)/python -m pytest $(WORKERS)
	$(BIN)/python -m pytest $(WORKERS) --on sqlite -m main_job

lint: $(VENV)/test.stamp
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(VENV)/test.stamp
	$(BIN)/mypy

contracts: $(VENV)/test.stamp
	$(BIN)/lint-imports

migrations: $(VENV)/test.stamp
	$(BIN)/python manage.py makemigrations --check --dry-run

check: lint types contracts migrations test

bench: $(VENV)/test.stamp
	$(BIN)/python -m tests.bench

# Many clients and kills for so long, held against a sequential model; ends with exit code 1 if anything is wrong.
SECONDS ?= 600
soak: $(VENV)/test.stamp
	$(BIN)/python -m tests.soak --seconds $(SECONDS)

api-schema: $(VENV)/test.stamp
	$(BIN)/python manage.py spectacular --file shop/api/openapi.yaml --validate --fail-on-warn

# Needs uv (pip install uv); no registry's address ends up in the files.
lock:
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url pyproject.toml -o requirements/run.txt
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --no-emit-index-url --extra test pyproject.toml -o requirements/test.txt

$(VENV)/bin/python:
	$(PYTHON) -m venv $(VENV)

$(VENV)/run.stamp: requirements/run.txt | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.txt
	touch $@

$(VENV)/test.stamp: requirements/test.txt | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/test.txt
	touch $@ $(VENV)/run.stamp

clean:
	rm -rf $(VENV) demo.sqlite3* .demo
