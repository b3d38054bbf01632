# What people and the continuous integration both run: `make demo` to look, `make test` to check.
# All of it happens in .venv, which scripts/set_up.sh makes and keeps up to date.

# Steps share .venv and the coverage data, so they run one by one whatever -j says.
.NOTPARALLEL:
.PHONY: help demo open test check lint types rules gathered tests covered docs bench clean run-env dev-env

bin := .venv/bin
python := $(bin)/python

# Tests run in as many processes as there are cores, a file in one: make test WORKERS=0 for none.
WORKERS ?= auto

help:
	@echo "make demo   the tool at work on an invented engine"
	@echo "make open   the screens in the browser: make open BOOK=dunnock.book"
	@echo "make test   every check: lint, types, house rules, tests, coverage, docs"
	@echo "make check  the quick ones only: lint, types, house rules"
	@echo "make docs   the documentation, into docs/_build/html"
	@echo "make bench  speed measured against plain loops, on this machine"
	@echo "make clean  away with everything that can be made again"

run-env:
	@scripts/set_up.sh run

dev-env:
	@scripts/set_up.sh dev

demo: run-env
	@$(bin)/benchproof demo

# Without a name the only book here is taken; where there is none, the first page begins one.
open: run-env
	@$(bin)/benchproof open $(if $(BOOK),"$(BOOK)")

test: check tests covered docs
	@echo "== every check passed"

check: lint types rules gathered

lint: dev-env
	@echo "== lint and format (ruff)"
	@$(python) -m ruff check --quiet .
	@$(python) -m ruff format --check --quiet .

types: dev-env
	@echo "== types (mypy)"
	@$(python) -m mypy

rules: dev-env
	@echo "== house rules (import-linter)"
	@$(bin)/lint-imports --no-logo

gathered: dev-env
	@echo "== checks against the outside world, gathered"
	@$(python) scripts/gather_checks.py --check

tests: dev-env
	@echo "== tests (pytest)"
	@OPENBLAS_NUM_THREADS=1 $(python) -m pytest --no-header -o verbosity_test_cases=-1 \
		-n $(WORKERS) --maxprocesses 4 --dist loadfile --cov --cov-branch --cov-report=

# What others build on is covered whole: every line and every branch.
covered: dev-env
	@echo "== physics and reckoning covered to the last branch (coverage)"
	@$(python) -m coverage report --fail-under=100 \
		--include='src/benchproof/physics/*,src/benchproof/reckon/*'

docs: dev-env
	@echo "== documentation (sphinx)"
	@$(python) -m sphinx --quiet --fail-on-warning --keep-going -b html docs docs/_build/html

bench: run-env
	@$(python) -m benchmarks

clean:
	rm -rf .venv build dist htmlcov docs/_build .coverage .mypy_cache .pytest_cache .ruff_cache
	rm -rf .hypothesis .import_linter_cache
	find src tests benchmarks scripts -name __pycache__ -type d -exec rm -rf {} +
