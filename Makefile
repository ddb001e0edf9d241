# The two commands of the README: `make run` and `make test`. Each does all its own set-up.

SHELL := /bin/bash
.ONESHELL:
.SHELLFLAGS := -euo pipefail -c

# Where builds go; set CARGO_TARGET_DIR to share one between checkouts.
TARGET := $(or $(CARGO_TARGET_DIR),target)
DATABASE := $(TARGET)/demo/fizzwright.sqlite
LISTEN ?= 127.0.0.1:8480

# Every cargo call below builds the whole workspace. The features of shared dependencies are then
# the same each time, and the solver (four minutes of C++) is built once.
WHOLE := --workspace --all-targets --locked

.PHONY: run test check explore setup lint deny docs contract bench bench-service help

help: ## list the commands
	@grep -E '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*## /\t/'

setup: ## install what a build needs, saying what and why
	@.ci/setup

run: setup ## build a release, load the demo site into a fresh database and start the service
	cargo build --release --workspace --bins --locked
	mkdir -p $(dir $(DATABASE))
	rm -f $(DATABASE) $(DATABASE)-wal $(DATABASE)-shm
	exec $(TARGET)/release/fizzwright serve --demo --listen $(LISTEN) --database $(DATABASE)

test: setup lint deny docs ## formatting, lints, dependencies, every test
	cargo build $(WHOLE)
	.ci/tests $(TARGET)/tests.log

check: setup ## formatting, lints and the quick tests, before each commit
	cargo fmt --all --check
	cargo clippy $(WHOLE) -- -D warnings
	cargo test --workspace --locked --lib --bins

# Random tests by the programs they are in; what is named after -- is run of the larger ones.
explore: setup ## the random tests with fresh seeds, for a quarter of an hour (SEED=7 for those of a seed)
	seed=$${SEED:-$$(od -An -N4 -tu4 /dev/urandom | tr -d ' ')}
	echo "explore: run again with SEED=$$seed"
	export SEED=$$seed PROPTEST_RNG_SEED=$$seed EXPLORE_SECONDS=$${EXPLORE_SECONDS:-600}
	cargo build $(WHOLE)
	failed=0
	cargo test --workspace --locked --no-fail-fast \
	  --test laws --test finite --test quantities --test calibration --test replan || failed=1
	cargo test --workspace --locked --no-fail-fast --test blackbox --test strangers \
	  -- random:: made_up:: every_trick || failed=1
	[ $$failed -eq 0 ] || { echo "explore: something failed with SEED=$$seed"; exit 1; }

lint: setup
	cargo fmt --all --check
	cargo clippy $(WHOLE) -- -D warnings

# What the program is made of. The tool is built once and kept; the database of advisories is on the
# internet, and is asked where it can be reached.
DENY := 0.20.2
$(TARGET)/tools/bin/cargo-deny:
	cargo install cargo-deny --locked --version $(DENY) --root $(TARGET)/tools --target-dir $(TARGET)/tools/build
	rm -rf $(TARGET)/tools/build

deny: setup $(TARGET)/tools/bin/cargo-deny
	deny=$(TARGET)/tools/bin/cargo-deny
	$$deny --locked check --hide-inclusion-graph licenses bans sources
	if timeout 120 $$deny --locked fetch db >/dev/null 2>&1; then
	  $$deny --locked check --disable-fetch advisories
	else
	  echo "deny: advisories are not looked at, their database cannot be reached"
	fi

docs: setup
	RUSTDOCFLAGS="-D warnings" cargo doc --workspace --no-deps --locked --quiet

contract: setup ## write openapi/openapi.json anew from the code
	cargo build $(WHOLE)
	$(TARGET)/debug/fizzwright openapi > openapi/openapi.json

bench: setup bench-service ## our search against general-purpose solvers (half an hour)
	cargo bench --workspace --locked --bench solvers

bench-service: setup ## the service: reads, writers, a year of data (twenty minutes; takes wrk)
	cargo build --release --workspace --bins --locked
	cargo bench --workspace --locked --bench service
