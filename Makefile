# Bonnetbook. `make help` lists the targets.

GO      ?= go
PYTHON  ?= $(firstword $(wildcard /usr/bin/python3) python3)
BIN     := bin/bonnetbook
FIRST   := notebooks/01_see_first_drive.ipynb
METHOD   = $(filter-out %.executed.ipynb,$(sort $(wildcard notebooks/*.ipynb)))
SYSTEMS ?= linux/amd64 linux/arm64 darwin/amd64 darwin/arm64 windows/amd64 windows/arm64
# FITTED are the packages whose tests show that a Go release fits.
FITTED   = ./kernelsetup/internal/abi/... ./kernelsetup/internal/rtype ./kernelsetup/internal/precompiled \
           ./kernelsetup/internal/symbols ./kernelsetup/internal/interpreter ./kernelsetup/internal/equality
JUPYTER  = $(shell sh kernelsetup/jupyter.sh find)

# The kernel is fitted to the Go releases of kernelsetup/go-releases.txt. Where
# the installed Go is of another, the pinned toolchain builds everything.
PINNED    := $(shell sh kernelsetup/toolchain.sh pinned)
TOOLCHAIN := $(shell sh kernelsetup/toolchain.sh choose "$(GO)")
ifneq ($(TOOLCHAIN),)
export GOTOOLCHAIN := $(TOOLCHAIN)
endif

# STATICCHECK looks for mistakes and dead code; no package needs it.
STATICCHECK := honnef.co/go/tools/cmd/staticcheck@v0.7.0

# ALONE leaves nothing of the user's settings in a program that goes to others.
ALONE  = GOTOOLCHAIN=$(PINNED) GOFLAGS= GOEXPERIMENT= GOWORK=off GOAMD64=v1 GOARM64=v8.0 CGO_ENABLED=0
SHA256 = $$(command -v sha256sum || echo shasum -a 256)

.DEFAULT_GOAL := help

help: ## list the targets
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 16

notebook: install jupyter ## set everything up and open the first notebook
	$(JUPYTER) notebook $(if $(filter 0,$(shell id -u)),--allow-root) $(NOTEBOOK_FLAGS) $(FIRST)

test: jupyter build ## everything: packages, notebooks by the runner and through Jupyter
	sh kernelsetup/jupyter.sh need-tests
	$(GO) vet ./...
	$(GO) test ./...

test-go: ## what needs no Jupyter
	$(GO) vet ./...
	BONNETBOOK_NO_JUPYTER=1 $(GO) test ./...

report: build ## run all notebooks without Jupyter or a browser, write HTML to build/report, with an index
	$(BIN) report -o build/report $(METHOD)

build: ## build the program
	$(GO) build -o $(BIN) ./kernelsetup

install: build ## register the kernel for this user
	$(BIN) install

jupyter: ## install Jupyter and its sliders from Debian's packages if missing, or say how
	sh kernelsetup/jupyter.sh need

generate: ## make symbol tables, type data, licence texts, the machine's loop and the demo again
	$(GO) generate ./...
	$(GO) run ./testdata/generate

check: ## formatting, vet, staticcheck, complexity, generated files up to date
	@test -z "$$(gofmt -l pkg kernelsetup internal notebooks testdata)" || { gofmt -l pkg kernelsetup internal notebooks testdata; echo "run gofmt -w on these files"; exit 1; }
	$(GO) vet ./...
	$(GO) run $(STATICCHECK) ./pkg/... ./internal/...
	$(GO) test -count=1 -tags complexity -run TestComplexity ./pkg
	$(GO) run ./kernelsetup/internal/symbols/generate -check
	$(GO) run ./kernelsetup/internal/licence/generate -check
	$(GO) run ./kernelsetup/internal/interpreter/vm/generate -check
	cd kernelsetup/internal/rtype && $(GO) run generate.go -check
	$(GO) run ./testdata/generate -check

recipes: ## follow the recipes of DEVELOPERS.md in a scratch copy of the last commit
	$(PYTHON) .ci/recipes.py

frontends: build ## drive the kernel by jupyter_kernel_test, nbclient, nbconvert, console and a headless browser
	sh kernelsetup/jupyter.sh need-frontends
	cd kernelsetup/frontends && npm ci --ignore-scripts --no-audit --no-fund && for t in kernel clients robust browser pictures page exercises; do \
	  BONNETBOOK_PROGRAM=$(CURDIR)/$(BIN) BONNETBOOK_NOTEBOOKS=$(CURDIR)/notebooks $(PYTHON) $${t}_test.py || exit 1; done

# LABTIME bounds each step of lab, in seconds.
LABTIME ?= 1800

lab: build ## JupyterLab, built from npm: all notebooks, their pictures and controls in a headless browser; stores what was found (some five minutes)
	sh kernelsetup/jupyter.sh need-lab
	cd kernelsetup/frontends/lab && timeout $(LABTIME) npm ci --legacy-peer-deps --ignore-scripts --no-audit --no-fund && \
	  timeout $(LABTIME) node node_modules/webpack-cli/bin/cli.js --config webpack.config.js
	cd kernelsetup/frontends && BONNETBOOK_PROGRAM=$(CURDIR)/$(BIN) BONNETBOOK_NOTEBOOKS=$(CURDIR)/notebooks BONNETBOOK_LAB_RESULT=lab/found.txt \
	  timeout $(LABTIME) $(PYTHON) lab_test.py
	cd kernelsetup/frontends && BONNETBOOK_PROGRAM=$(CURDIR)/$(BIN) BONNETBOOK_NOTEBOOKS=$(CURDIR)/notebooks timeout $(LABTIME) $(PYTHON) exercises_test.py Lab

speed: build ## time the kernel beside ipykernel
	$(PYTHON) kernelsetup/bench/speed.py

soak: build ## works in one notebook for twenty minutes: what the kernel keeps of a cell must stay below 1 KB; stores the table
	$(PYTHON) kernelsetup/bench/soak.py --program $(BIN) --minutes $${MINUTES:-20} --store kernelsetup/bench/soak.txt

course-speed: ## time the notebooks as on their first day: 5 s of processor time each, a minute in all, the first picture within 2 s; stores the table (on a quiet machine)
	BONNETBOOK_PROOF_STORE=1 $(GO) test -tags proof -count=1 -v -run 'TestSpeed$$' -timeout 30m ./notebooks

latency: ## time round trips of kernels with and without a supervisor, by turns; stores the table (some minutes)
	$(GO) run ./kernelsetup/bench/supervised -o kernelsetup/bench/supervised/latency.txt

hostile: ## cells that attack the memory and the process, all of them; stores what became of them
	BONNETBOOK_HOSTILE=1 $(GO) test -count=1 -v -timeout 14m -run 'TestMemoryAttacks|TestLeftBehind' ./kernelsetup/internal/supervisor

releases: ## build with the other Go releases: run-time types, equality suite, all notebooks
	@for t in $$(sh kernelsetup/toolchain.sh others "$(GO)"); do \
	  GO="$(GO)" sh kernelsetup/toolchain.sh need $$t && \
	  GOTOOLCHAIN=$$t $(GO) version && \
	  GOTOOLCHAIN=$$t $(GO) build -o build/$$t/bonnetbook ./kernelsetup && \
	  GOTOOLCHAIN=$$t $(GO) test $(FITTED) && \
	  build/$$t/bonnetbook run -o build/$$t/notebooks $(METHOD) || exit 1; done

go-tests: ## Go's own run-tests as cells, by every Go release (long)
	@for t in $$($(GO) env GOVERSION) $$(sh kernelsetup/toolchain.sh others "$(GO)"); do \
	  GOTOOLCHAIN=$$t $(GO) test -tags proof -timeout 30m -count=1 ./kernelsetup/internal/interpreter/gotest || exit 1; done

oracle: ## 10,000 notebooks edited and re-run at random, beside fresh sessions (long)
	$(GO) test -tags proof -timeout 120m -count=1 -run TestTenThousand ./kernelsetup/internal/interpreter/oracle

equality: ## compile the equality suite again and run the shipped notebooks both ways
	$(GO) run ./kernelsetup/internal/equality/compile -check
	$(GO) test -tags proof -run TestNotebooks ./kernelsetup/internal/equality

export-proof: ## 10,000 invented notebooks run, are written as programs, type-check and compile (long)
	RESULT=testdata/export-proof.txt NOTEBOOKS=$${NOTEBOOKS:-10000} COMPILED=$${COMPILED:-10000} SEED=$${SEED:-1} \
	  $(GO) test -tags proof -count=1 -run TestExportProof -timeout 90m -v ./kernelsetup/internal/equality

verdict-proof: ## how often the verdict is right on cars of another model of the bay, 24 conditions of 40 each and 4,000 campaigns a cell; stores the tables (half an hour of one processor)
	BONNETBOOK_PROOF_STORE=1 BONNETBOOK_PROOF_POOL="$$(mkdir -p build/pool && cd build/pool && pwd)" \
	  $(GO) test -tags proof -count=1 -run 'TestCoverage$$|TestTenLooks|TestOtherStrata|TestMoreDrives|TestAlignedDrives' -timeout 180m -v ./pkg/verdict

throttle-proof: ## how often brisk driving is taken for full throttle and how many pulls are missed, on both simulators; stores the table (five minutes)
	BONNETBOOK_PROOF_STORE=1 $(GO) test -tags proof -count=1 -v -run 'TestFullThrottleRates$$' -timeout 60m ./pkg/segment

proof: ## long proofs (half an hour): coverage of intervals, Go's own tests as cells
	$(GO) test -tags proof -run "TestCoverageOf500Pairs|TestCoverageOfSeveralDrives" -timeout 60m ./pkg/clock
	$(GO) test -tags proof -v -run TestRecovery -timeout 60m ./pkg/thermostat
	$(MAKE) heat-proof
	$(GO) test -tags proof -run TestCoastDownCoverage ./pkg/roadload
	$(GO) test -tags proof -run TestPlantedMistakesOfWeather -v ./pkg/air
	$(GO) test -tags proof -run TestDraftQuality -timeout 30m ./pkg/campaign
	$(MAKE) go-tests
	$(MAKE) oracle
	$(MAKE) loop-coverage
	$(GO) test -tags proof ./kernelsetup/internal/abi
	$(GO) test -tags proof -timeout 30m -run 'TestSuiteUnderGarbageCollection|TestRandomPrograms' ./kernelsetup/internal/equality

heat-proof: ## how often the parts of the rise and its predictions hold, on both simulators (six minutes)
	BONNETBOOK_PROOF_SEED=$${BONNETBOOK_PROOF_SEED:-20261128} BONNETBOOK_PROOF_CARS=$${BONNETBOOK_PROOF_CARS:-220} \
	  $(GO) test -tags proof -count=1 -v -run 'TestCoverage|TestAmbient' -timeout 60m ./pkg/heat

loop-coverage: ## how much of the machine's loop its package's tests run; fails below 95 %, stores the figure
	@mkdir -p build kernelsetup/internal/interpreter/vm/testdata
	$(GO) test -count=1 -coverpkg=./kernelsetup/internal/interpreter/vm -coverprofile=build/loop.cover ./kernelsetup/internal/interpreter/vm
	awk -f .ci/loopcoverage.awk build/loop.cover >build/loop-coverage.txt
	@cat build/loop-coverage.txt
	@cp build/loop-coverage.txt kernelsetup/internal/interpreter/vm/testdata/loop-coverage.txt

RACED ?= ./kernelsetup/internal/protocol ./kernelsetup/internal/session ./kernelsetup/internal/stdstreams \
         ./kernelsetup/internal/repl ./kernelsetup/internal/interpreter ./kernelsetup/internal/interpreter/vm ./kernelsetup/internal/equality \
         ./kernelsetup/internal/rtype ./kernelsetup/internal/help ./kernelsetup/internal/batch ./kernelsetup/internal/ipc

race: ## race detector on the kernel, or on RACED=./package (the first build takes minutes)
	@# Reports go to files: a test that takes over the standard streams would
	@# swallow them, and one of a process that a test starts fails nothing.
	@# checkptr does not know values that are laid out by hand.
	@rm -rf build/race && mkdir -p build/race
	@GORACE="log_path='$(CURDIR)/build/race/report'" $(GO) test -count=1 -race -gcflags=all=-d=checkptr=0 -timeout 15m $(RACED); status=$$?; \
	for f in build/race/report.*; do if [ -e "$$f" ]; then cat "$$f"; echo "race: $$f"; status=1; fi; done; exit $$status

fuzz: ## two minutes of fuzzing for every fuzz target
	@for p in $$($(GO) list ./...); do \
	  for f in $$($(GO) test -list '^Fuzz' $$p | grep '^Fuzz'); do \
	    $(GO) test -run '^$$' -fuzz "^$$f$$" -fuzztime $${FUZZTIME:-2m} -fuzzminimizetime 5x $$p || exit 1; done; done

fuzz-count: ## runs every fuzz target for FUZZTIME (20s) and adds executions and minutes to the counts in .ci/fuzz.tsv; prints the sums
	GO="$(GO)" python3 .ci/fuzzcount.py run $${FUZZTIME:-20s}

fuzz-proof: ## every fuzz target in one process, until 10^6 executions and 30 minutes for a format and 10^8 for a single value (hours; goes on where it was broken off; EXECUTIONS=, MINUTES=, ONLY=, JOBS=, SEED=); adds to the counts in .ci/fuzz.tsv
	GO="$(GO)" python3 .ci/fuzzcount.py prove

messy-proof: ## twenty messy folders of another author's model from draft to verdict by the command line; stores the table (a minute)
	$(GO) test -tags proof -count=1 -v -run TestMessyFromTheCommandLine -timeout 30m ./kernelsetup -store

bench: ## benchmarks of the packages
	$(GO) test -run '^$$' -bench . -benchmem ./pkg/...

dist: ## build the program for Linux, macOS and Windows (or SYSTEMS=linux/amd64) into dist/, with checksums and a bill of materials
	@# The same commit gives the same bytes, whoever builds it and where: one
	@# toolchain, and no settings but these.
	@mkdir -p dist build
	@for system in $(SYSTEMS); do \
	  os=$${system%/*}; arch=$${system#*/}; ext=; [ $$os = windows ] && ext=.exe; \
	  echo dist/bonnetbook-$$os-$$arch$$ext; \
	  $(ALONE) GOOS=$$os GOARCH=$$arch $(GO) build -trimpath -ldflags '-s -w' -o dist/bonnetbook-$$os-$$arch$$ext ./kernelsetup || exit 1; \
	done
	@$(ALONE) $(GO) build -trimpath -o build/bill ./kernelsetup && build/bill licences -json > dist/bonnetbook.cdx.json
	@cd dist && LC_ALL=C && export LC_ALL && $(SHA256) bonnetbook-* bonnetbook.cdx.json > SHA256SUMS
	@echo "dist/SHA256SUMS  (sign this file; it covers the others)"

# PORTABLE builds the program as others get it, for a fresh Debian.
PORTABLE = sh kernelsetup/workshop/fresh.sh need && mkdir -p build/fresh && \
           $(ALONE) GOOS=linux $(GO) build -trimpath -ldflags '-s -w' -o build/fresh/bonnetbook ./kernelsetup

classroom: ## twenty people on one server, made by its script on a fresh Debian: speed, memory, who reads what, who slows whom (ten minutes on a quiet machine, at most half an hour; needs root, debootstrap and a network; LEARNERS=, FIRST=1 without loops and memory hogs, STORE=1 stores the table)
	@$(PORTABLE)
	sh kernelsetup/workshop/try.sh server build/fresh/bonnetbook

classroom-boot: ## the same server on a fresh Debian that boots with systemd: its unit is enabled, restarted when it dies, and starts with the machine (five minutes; needs what classroom needs)
	@$(PORTABLE)
	sh kernelsetup/workshop/try.sh booted build/fresh/bonnetbook

one-file: ## the course from one file on a fresh Debian with Jupyter and a browser, no Go, no network, as a user, odd letters in the path (five minutes; needs root, debootstrap and a network to install)
	@$(PORTABLE)
	sh kernelsetup/workshop/try.sh one-file build/fresh/bonnetbook

reproducible: ## show that two builds of the last commit, in two folders and without a common cache, are the same (long)
	sh .ci/reproducible.sh "$(SYSTEMS)"

clean: ## remove what was built
	rm -rf bin build dist

.PHONY: help classroom-boot notebook course-speed test test-go export-proof report build install jupyter generate check recipes releases go-tests oracle equality proof heat-proof throttle-proof verdict-proof loop-coverage frontends lab speed soak latency hostile race fuzz fuzz-count fuzz-proof messy-proof bench dist classroom one-file reproducible clean
