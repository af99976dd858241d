# make run    makes everything ready and serves the app on this machine
# make test   runs every check and every test
# The rest are parts of these two.

VENV := .venv
PY := $(VENV)/bin/python
PIP_INSTALL := $(PY) -m pip install -qq --disable-pip-version-check --no-input --require-hashes
SOURCES := inventory claims config manage.py
PORT ?= 8000
export PORT PYTHON

.PHONY: help setup run company prepare test check test-quick test-slow test-one test-browser test-crash test-backups test-events test-postings test-books bench bench-plan test-mutations test-hostile demo-packet pictures mutants sbom licenses audit asvs lock test-swift bench-start bench-recount bench-served test-restore test-move bench-chain
.NOTPARALLEL:
.DELETE_ON_ERROR:

help:
	@echo "make run          prepare all and serve on http://localhost:$(PORT) (PORT=8001 for another)"
	@echo "make company      an empty company of your own in .company/, apart from the demo"
	@echo "make test         every check and every test"
	@echo "make setup        only prepare .venv, for running and for testing"
	@echo "make check        only lint, format, types, import contracts, migrations, deployment"
	@echo "make test-one     one file, folder or test: make test-one F=tests/house/test_parts.py"
	@echo "make test-quick   every test but those of a browser and the slow ones: a few minutes"
	@echo "make test-slow    only the slow ones, in their whole form: many cases, processes, whole stories"
	@echo "make test-browser only the tests that drive a browser"
	@echo "make test-crash   kills, power cuts and refusing disks, for some minutes (best as root)"
	@echo "make test-swift   the bucket's tests with a real OpenStack Swift (package python3-swift)"
	@echo "make test-backups 60 backups of a house that is written to, each laid back and verified"
	@echo "make test-restore a house backed up, restored into an empty place and verified"
	@echo "make test-move    a house moved to another database, killed in every step on the way"
	@echo "make test-events  100,000 events by eight processes, then the chain verified"
	@echo "make test-postings  100,000 postings by eight processes: none crooked, none lost"
	@echo "make test-books   200 drawn books: every total of every list is its figure in the ledger"
	@echo "make bench        every page at 1,000 and 100,000 crates: its work and its time"
	@echo "make bench-start  how soon a command begins, by an empty Django"
	@echo "make bench-recount  the deadlines of 100,000 bills counted again"
	@echo "make bench-served  slow clients, photos, and the memory of all processes"
	@echo "make bench-chain  verify, backup, publish_root and proofs beside a bare reading"
	@echo "make bench-plan   time the return planners on a year of crates"
	@echo "make test-mutations  a hundred thousand broken pictures through the decoder"
	@echo "make test-hostile  twenty thousand crooked workbooks, memos and claims of cameras"
	@echo "make demo-packet  build the demo claim's packet and print the file's path"
	@echo "make mutants      1,000 small mistakes in money, dates, credit, access and triggers"
	@echo "make pictures     take the README's pictures of the four desks (needs Chromium)"
	@echo "make sbom         the packages as a CycloneDX list on standard output"
	@echo "make licenses     each package with its licence"
	@echo "make audit        ask the package index about known weaknesses"
	@echo "make lock         pin the packages anew (needs uv)"

# -- the virtual environment; a stamp marks each step that is done ---------------

$(VENV)/.made:
	@sh config/deploy/make_venv.sh $(VENV)
	@touch $@

$(VENV)/.runtime: requirements.txt $(VENV)/.made
	@echo "Installing what the app needs (once; about a minute)..."
	@$(PIP_INSTALL) -r requirements.txt
	@touch $@

$(VENV)/.dev: requirements-dev.txt $(VENV)/.runtime
	@echo "Installing what the tests need (once; a minute or two)..."
	@$(PIP_INSTALL) -r requirements-dev.txt
	@touch $@

setup: $(VENV)/.dev

# -- running --------------------------------------------------------------------

prepare: $(VENV)/.runtime
	@$(PY) manage.py migrate --no-input --verbosity 0
	@if $(PY) -c 'import sys; from config.settings import DEMO_ALLOWED; sys.exit(not DEMO_ALLOWED)'; then \
		$(PY) manage.py load_demo --once; \
	else \
		echo "ALLOWED_HOSTS lets other machines in, so the demo is not loaded."; \
	fi

run: prepare
	@exec $(PY) config/deploy/beside.py

# A company of one's own has a data folder of its own, and never the demo's people.
company: export DOCK_DATA_DIR ?= .company
company: $(VENV)/.runtime
	@$(PY) manage.py migrate --no-input --verbosity 0
	@$(PY) manage.py first_administrator --once
	@exec $(PY) config/deploy/beside.py

demo-packet: prepare
	@$(PY) manage.py demo_packet

# -- checking -------------------------------------------------------------------

# The slow ones run once, in their whole form.
test: check test-quick test-slow test-browser

# A folder of its own for each command, so that nothing here touches .data/.
SCRATCH = data=$$(mktemp -d) && trap 'rm -rf "$$data"' EXIT && DOCK_DATA_DIR="$$data"

# Each part notes when it begins, for whoever wants the minutes by part afterwards.
began = @if [ -n "$$MINUTES" ]; then echo "$$(date +%s) $@" >>"$$MINUTES"; fi

check: $(VENV)/.dev
	$(began)
	$(VENV)/bin/ruff check --quiet .
	$(VENV)/bin/ruff format --check --quiet .
	@$(SCRATCH) $(VENV)/bin/mypy $(SOURCES)
	$(VENV)/bin/lint-imports --no-logo
	@echo "manage.py makemigrations --check"
	@$(SCRATCH) $(PY) manage.py makemigrations --check --dry-run
	@echo "manage.py check --deploy --fail-level WARNING"
	@$(SCRATCH) ALLOWED_HOSTS=dock.example \
		SECRET_KEY=$$($(PY) -c 'import secrets; print(secrets.token_urlsafe(60))') \
		$(PY) manage.py check --deploy --fail-level WARNING

test-quick: $(VENV)/.dev
	$(began)
	$(PY) -m pytest -m "not browser and not slow"

test-slow: $(VENV)/.dev
	$(began)
	$(PY) -m pytest -m "slow and not browser" --whole

F ?= tests
test-one: $(VENV)/.dev
	$(PY) -m pytest $(F)

# The browser talks to a server of its own: a run apart from the tests in process.
test-browser: $(VENV)/.dev
	$(began)
	@$(PY) -m tests.chromium
	$(PY) -m pytest -m browser --dist loadfile tests/browser

# Needs strace, and root for its own disks; what the machine does not allow is skipped
# in plain words. Prints a table of what was acknowledged, lost and torn.
test-crash: $(VENV)/.dev
	CRASH=1 nice -n 10 $(PY) -m pytest tests/crash -n0 --whole -p no:randomly -rs

# Debian's python3-swift, which starts nothing by itself; skipped in plain words without.
test-swift: $(VENV)/.dev
	$(began)
	DOCK_SWIFT=1 $(PY) -m pytest -m swift -n0 \
		tests/inventory/evidence/store tests/crash tests/backups

test-backups: $(VENV)/.dev
	BACKUPS=$${BACKUPS:-60} $(PY) -m pytest tests/backups/test_live_backups.py -p no:randomly

# On PostgreSQL where DATABASE_URL names a server; locked where age is installed.
test-restore: $(VENV)/.dev
	DRILL=1 $(PY) -m pytest tests/backups/test_restore_drill.py -n0 -s

test-move: $(VENV)/.dev
	KILLS=all $(PY) -m pytest tests/moving -n0

test-events: $(VENV)/.dev
	EVENTS=$${EVENTS:-100000} $(PY) -m pytest tests/race/test_chain_under_load.py -p no:randomly

test-postings: $(VENV)/.dev
	POSTINGS=$${POSTINGS:-100000} $(PY) -m pytest tests/race/test_postings.py \
		-p no:randomly -s

test-books: $(VENV)/.dev
	BOOKS=$${BOOKS:-200} $(PY) -m pytest tests/journeys/test_list_totals.py -n0 -p no:randomly

# A look, not a test: SIZES="1000 1000000" for others, PAGES=dock for some pages only,
# OPEN=2000 for as many open crates and machines, instead of 400.
SIZES ?= 1000 100000
bench: $(VENV)/.dev
	@$(PY) -m tests.bench.flat $(SIZES)

bench-start: $(VENV)/.dev
	@$(PY) -m tests.bench.starts

# BILLS=2000 for less.
bench-recount: $(VENV)/.dev
	@$(PY) -m tests.bench.recount $${BILLS:-100000}

# Photos against the floor, then what a running server bears; PHOTOS=20 for less.
bench-served: $(VENV)/.dev
	@$(PY) -m tests.bench.photo_answers
	@$(PY) -m tests.bench.served

# A look, not a test: COUNT=100000 for more.
bench-chain: $(VENV)/.dev
	@$(SCRATCH) $(PY) -m tests.bench.long_chain both $(or $(COUNT),20000)

# A look, not a test: a year of 365 days and 2,000 crates.
bench-plan: $(VENV)/.dev
	@$(PY) -m tests.bench.plan

# The same test as every run's, with fifty times as many.
test-mutations: $(VENV)/.dev
	MUTATIONS=100000 $(PY) -m pytest -s tests/inventory/evidence/pictures/test_mutations.py

# A look, not a test: what of the security standard is the operator's, or open.
asvs: $(VENV)/.dev
	@$(PY) -m tests.asvs.test_requirements

# Seeded: the same number tries the same files.
test-hostile: $(VENV)/.dev
	HOSTILE=$${HOSTILE:-20000} $(PY) -m pytest -s -p no:randomly \
		tests/inventory/bad_inputs/test_crooked_readers.py

# SEED=7 COUNT=50 ONLY=reckoning for less.
mutants: $(VENV)/.dev
	@$(PY) -m tests.mutants

pictures: $(VENV)/.dev
	@$(PY) -m tests.browser.desk_pictures

# What the program is made of, for whoever reviews it: make -s sbom > sbom.json
sbom: $(VENV)/.dev
	@$(PY) config/deploy/licenses.py requirements.txt --sbom

licenses: $(VENV)/.dev
	@$(PY) config/deploy/licenses.py requirements.txt

# Asks the package index about known weaknesses; needs the network.
audit: $(VENV)/.dev
	$(VENV)/bin/pip-audit --disable-pip --require-hashes -r requirements.txt

lock:
	uv pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes \
		--no-emit-index-url --no-header -o requirements.txt
	uv pip compile pyproject.toml --group dev -c requirements.txt --universal \
		--python-version 3.11 --generate-hashes --no-emit-index-url --no-header \
		-o requirements-dev.txt
