# Each command installs what it lacks first (tools/install). The work is in tools/.
export CMAKE_BUILD_PARALLEL_LEVEL ?= $(shell nproc)
export FUZZ_SECONDS ?= 30

.PHONY: help build demo test bench format check
help:
	@echo 'make build   the program, at build/revwright'
	@echo 'make demo    the whole loop on a simulated car, into the folder demo/'
	@echo 'make test    every check and test, with sanitizers; fuzzing for FUZZ_SECONDS=$(FUZZ_SECONDS) a target'
	@echo 'make bench   speed and memory against their goals'
	@echo 'make format  lay the sources out'
	@echo 'make check   layout, layers and text of the sources'

build:
	@tools/install build
	@tools/dev build

demo: build
	@build/revwright demo --out demo

test:
	@tools/install build test check
	@tools/test

bench:
	@tools/install build bench
	@command -v npm >/dev/null || tools/install bench-peer || echo 'make bench goes on without the CSV reader it is held against.'
	@tools/dev bench

format:
	@tools/install check
	@tools/dev format

check:
	@tools/install check
	@tools/dev check
