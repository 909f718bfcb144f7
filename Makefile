# Everything sets itself up: a .venv in the checkout, then the job. pip compiles what it installs,
# but not an editable checkout: compileall does, or the first command would.
PYTHON ?= python3
VENV := .venv
# its model ships in the package; its own requirements would bring a whole other runtime
TRANSCRIBER := basic-pitch==0.4.0
BIN := $(VENV)/bin

.PHONY: demo test quick lint docs clean

$(BIN)/.user: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install -qq --editable ".[lesson]"
	$(BIN)/python -m compileall -q engine
	touch $@

$(BIN)/.dev: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install -qq --editable ".[lesson,notation,soundfont,cluster,analysis,docs,test,outside]"
	$(BIN)/python -m pip install -qq --no-deps "$(TRANSCRIBER)"
	$(BIN)/python -m compileall -q engine
	touch $@ $(BIN)/.user

# the main job on a built-in chart, then what to open next
demo: $(BIN)/.user
	$(BIN)/porchswing demo -o out

# every check a fresh checkout can run; what it lacks is skipped with its reason
test: $(BIN)/.dev
	$(BIN)/python -m pytest

# the reference of the library from its docstrings: out/reference/porchswing.html
docs: $(BIN)/.dev
	$(BIN)/python -W error -m pdoc --docformat numpy --no-show-source \
		--output-directory out/reference porchswing '!porchswing\..*'

lint: $(BIN)/.dev
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

clean:
	rm -rf $(VENV) out .pytest_cache .mypy_cache .ruff_cache .hypothesis
