# make run   sets up and opens the demo workshop
# make test  sets up and passes every test
# make compare  the same with the independent libraries that the figures and suspects are held against
# make check style, types, the house
# make measure  runs what backs each promise of the README and writes the figures into it
# make catalogue  gathers the texts of the interface and compiles their translations
# make lock  pins the dependencies anew (needs uv)

PYTHON ?= python3
BIN := .venv/bin
.DEFAULT_GOAL := run
# Where venv fails half-way (Debian without python3-venv), the next make must not take what is left for a whole one.
.DELETE_ON_ERROR:
.PHONY: run test compare check measure catalogue lock

run: .venv/ready-run
	$(BIN)/sootline demo

test: .venv/ready-test
	$(BIN)/python -m pytest

compare: .venv/ready-compare test

check: .venv/ready-test
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

measure: .venv/ready-compare
	$(BIN)/python tests/measure.py

catalogue: .venv/ready-test
	$(BIN)/python tests/support/catalogue.py

.venv/bin/python:
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Sootline needs Python 3.11 or later: make PYTHON=python3.11")'
	$(PYTHON) -m venv .venv

# Every package is pinned with its hash; the project itself is then put in without looking anything up.
.venv/ready-run: requirements.lock pyproject.toml | .venv/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --no-index -e .
	touch $@

.venv/ready-test: requirements-test.lock .venv/ready-run
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-test.lock
	touch $@

.venv/ready-compare: requirements-compare.lock .venv/ready-test
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-compare.lock
	touch $@

lock:
	printf 'hatchling\neditables\n' > .venv/build.in
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header pyproject.toml .venv/build.in -o requirements.lock
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --group test pyproject.toml .venv/build.in -o requirements-test.lock
	uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-header --group test --group compare pyproject.toml .venv/build.in -o requirements-compare.lock
