# Everything sets itself up: a .venv in the checkout, then the job. pip compiles what it installs
# on one core, and no editable checkout: compileall does both, on every core.
PYTHON ?= python3
VENV := .venv
# its model ships in the package; its own requirements would bring a whole other runtime
TRANSCRIBER := basic-pitch==0.4.0
BIN := $(VENV)/bin
# one process more than cores, since some tests wait for disks and pages; four at the most
WORKERS = $(shell $(BIN)/python -c 'import os; print(min(4, 1 + (os.cpu_count() or 1)))')
# Python may write what it compiles: only the first of the processes reads a module from its source
unexport PYTHONDONTWRITEBYTECODE
PYTEST = $(BIN)/python -m pytest --quiet --numprocesses $(WORKERS) --dist loadfile --no-loadscope-reorder

.PHONY: demo test quick lint docs clean python

# said at once, not after a minute of installing
python:
	@$(PYTHON) -c 'import sys; v = sys.version_info; sys.exit(None if v >= (3, 11) else "porchswing needs Python 3.11 or newer, and $(PYTHON) is %d.%d: try make PYTHON=python3.12" % v[:2])'
	@$(PYTHON) -c 'import ensurepip, venv' || \
	(echo "this Python cannot make environments; on Debian: apt install python3-venv" && exit 1)

$(BIN)/.user: pyproject.toml | python
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install -qq --editable ".[lesson]"
	$(BIN)/python -m compileall -q engine
	touch $@

$(BIN)/.dev: pyproject.toml | python
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install -qq --no-compile --editable ".[bench,lesson,notation,soundfont,cluster,analysis,docs,test,outside]"
	$(BIN)/python -m pip install -qq --no-compile --no-deps "$(TRANSCRIBER)"
	$(BIN)/python -W ignore -m compileall -qq -j 0 $(VENV)/lib || true # templates of packages are no Python
	$(BIN)/python -m compileall -q engine
	touch $@ $(BIN)/.user

# the main job on a built-in chart, then what to open next
demo: $(BIN)/.user
	$(BIN)/porchswing demo -o out

# every check a fresh checkout can run, a file a process; a program it lacks is skipped with its
# reason. CI runs the tests marked slow as well
test: $(BIN)/.dev
	$(PYTEST) --durations 15 $(if $(CI),,-m "not slow")

# pure music, charts, grips and one render, for while you work
quick: $(BIN)/.dev
	HYPOTHESIS_PROFILE=quick $(PYTEST) -m "not slow" tests/theory tests/chart tests/harmony/swaps \
		tests/harmony/analysis tests/grips tests/rhythm tests/performance tests/test_take.py \
		tests/test_exported_members.py

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
