# make run    start Ringkeep, on PORT (8000); everything it needs is fetched the first time
# make test   lint, then every test; .ci/run calls this
# make bench  each file of tests/bench: how the time grows with the size
# make lint   style, types, layers, templates, settings, migrations
# make tidy   bring style and templates into the form that lint asks for
# make lock   requirements.lock anew from pyproject.toml
# make backup everything of this installation into var/backups

PYTHON := .venv/bin/python
.PHONY: run test bench lint style sound tidy lock backup paper tools
.DEFAULT_GOAL := run

run: .venv/.ok paper
	@$(PYTHON) manage.py serve

# What is slow to lint runs beside the tests and is told after them, whole. Many processes import
# the same files, so they may keep what they compile, whatever the environment says.
test: export PYTHONDONTWRITEBYTECODE :=
test: style tools
	@mkdir -p var
	$(MAKE) --no-print-directory sound >var/sound.log 2>&1 & sound=$$!; \
	$(PYTHON) -m pytest -q -n 2 --dist loadgroup; tests=$$?; \
	wait $$sound; sound=$$?; cat var/sound.log; exit $$((tests ? tests : sound))

bench: .venv/.ok paper
	$(PYTHON) -m tests.bench

# The settings of a firm on the open web: check --deploy must have nothing to say about them.
PRODUCTION := BASE_URL=https://ringkeep.example ALLOWED_HOSTS=ringkeep.example \
	SECRET_KEY=$$($(PYTHON) -c "import secrets; print(secrets.token_urlsafe(64))")

TEMPLATES = --target-version 5.2 $$(git ls-files 'templates/*.html')

lint: style sound

style: .venv/.ok
	$(PYTHON) -m ruff check .
	$(PYTHON) -m ruff format --check .
	.venv/bin/lint-imports --no-logo
	.venv/bin/djade --check $(TEMPLATES)
	$(PYTHON) -m djlint --lint templates

sound: .venv/.ok paper
	$(PYTHON) -m mypy .
	$(PYTHON) manage.py check --fail-level WARNING
	$(PRODUCTION) $(PYTHON) manage.py check --deploy --fail-level WARNING
	$(PYTHON) manage.py makemigrations --check --dry-run

tidy: .venv/.ok
	$(PYTHON) -m ruff check --fix .
	$(PYTHON) -m ruff format .
	.venv/bin/djade $(TEMPLATES)

lock: .venv/.ok
	$(PYTHON) -c "import tomllib; p = tomllib.load(open('pyproject.toml', 'rb')); \
		print(*p['project']['dependencies'], *p['dependency-groups']['dev'], sep='\n')" | \
	$(PYTHON) -m piptools compile --quiet --upgrade --allow-unsafe --generate-hashes --strip-extras \
		--no-annotate --no-header --no-emit-find-links --no-emit-index-url --no-emit-options \
		--no-emit-trusted-host --output-file requirements.lock -

backup: .venv/.ok
	$(PYTHON) manage.py backup var/backups/$$(date -u +%Y%m%dT%H%M%SZ).ringkeep.tar

paper: .venv/.ok
	@.ci/setup paper

tools: .venv/.ok
	@.ci/setup tests

.venv/.ok: requirements.lock
	@.ci/setup venv
	@touch $@
