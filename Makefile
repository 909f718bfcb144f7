# Everything sets itself up: a .venv in the checkout, then the job. pip compiles what it installs,
# but not an editable checkout: compileall does, or the first command would.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin

.PHONY: demo test lint clean

$(BIN)/.user: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install -qq --editable ".[lesson]"
	$(BIN)/python -m compileall -q engine
	touch $@

$(BIN)/.dev: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install -qq --editable ".[lesson,notation,soundfont,cluster,test]"
	$(BIN)/python -m compileall -q engine
	touch $@ $(BIN)/.user

# the main job on a built-in chart, then what to open next
demo: $(BIN)/.user
	$(BIN)/porchswing demo -o out

# every check a fresh checkout can run; what it lacks is skipped with its reason
test: $(BIN)/.dev
	$(BIN)/python -m pytest

lint: $(BIN)/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

clean:
	rm -rf $(VENV) out .pytest_cache .mypy_cache .ruff_cache .hypothesis
