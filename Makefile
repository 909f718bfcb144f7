# Everything sets itself up: a .venv in the checkout, then the job.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: demo test lint clean

$(BIN)/.user: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --editable ".[lesson]"
	touch $@

$(BIN)/.dev: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --editable ".[lesson,notation,soundfont,cluster,test]"
	touch $@ $(BIN)/.user

demo: $(BIN)/.user
	$(BIN)/porchswing demo

test: $(BIN)/.dev
	$(BIN)/python -m pytest

lint: $(BIN)/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

clean:
	rm -rf $(VENV) out .pytest_cache .mypy_cache .ruff_cache .hypothesis
