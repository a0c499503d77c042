# make demo: from a fresh machine to sound.  make test: everything that must pass.
# make peers: resampling and pitch finding against general libraries and tools.
# make generate: the assembly, anew.
# make: the program alone, build/lapstrake.  make install: the program, its manual page and completions under PREFIX.

SHELL := /bin/bash
OUT   := build
LAP   := $(OUT)/lapstrake
# .ci/tools installs what is missing and prints where the go command is.
GO     = PATH="$$(bash .ci/tools | tail -n 1):$$PATH" go

PREFIX  ?= /usr/local
DESTDIR ?=
BIN      = $(DESTDIR)$(PREFIX)/bin
SHARE    = $(DESTDIR)$(PREFIX)/share
MAN      = $(SHARE)/man/man1/lapstrake.1
BASH     = $(SHARE)/bash-completion/completions/lapstrake
ZSH      = $(SHARE)/zsh/site-functions/_lapstrake
FISH     = $(SHARE)/fish/vendor_completions.d/lapstrake.fish

.PHONY: demo test peers generate build install uninstall clean

build:
	@mkdir -p $(OUT)
	$(GO) build -o $(LAP) ./cmd/lapstrake

# Installs what is built, so that `make && sudo make install` builds nothing as root.
install:
	@[ -x $(LAP) ] || $(MAKE) build
	install -d $(BIN) $(dir $(MAN) $(BASH) $(ZSH) $(FISH))
	install -m 755 $(LAP) $(BIN)/lapstrake
	$(LAP) man > $(MAN)
	$(LAP) completion bash > $(BASH)
	$(LAP) completion zsh > $(ZSH)
	$(LAP) completion fish > $(FISH)
	chmod 644 $(MAN) $(BASH) $(ZSH) $(FISH)

uninstall:
	rm -f $(BIN)/lapstrake $(MAN) $(BASH) $(ZSH) $(FISH)

demo: build
	@[ -e $(OUT)/boatyard/map.toml ] || $(LAP) demo $(OUT)/boatyard --force
	$(LAP) hold $(OUT)/boatyard C3 G3 E4 B4 --for 1m -o $(OUT)/chord.wav --picture $(OUT)/chord.png
	$(LAP) sweep $(OUT)/boatyard C3 G3 E4 B4 --for 20s -o $(OUT)/sweep.wav --picture $(OUT)/sweep.png
	$(LAP) export $(OUT)/boatyard -o $(OUT)/boatyard-export --force
	$(LAP) play $(OUT)/boatyard --chord C3,G3,E4,B4 --for 15s
	@echo
	@echo "The boatyard's project:  $(OUT)/boatyard"
	@echo "A chord held for 1 min:  $(OUT)/chord.wav, its level over time in $(OUT)/chord.png"
	@echo "A sweep of the dynamics: $(OUT)/sweep.wav, its level over time in $(OUT)/sweep.png"
	@echo "For any sampler:         $(OUT)/boatyard-export, beginning with HOWTO.txt"
	@echo "Now play it:             $(LAP) play $(OUT)/boatyard"
	@echo "Begin with the volume low, on headphones above all."

test:
	@export PATH="$$(bash .ci/tools test | tail -n 1):$$PATH"; set -euo pipefail; \
	echo "gofmt"; unformatted=$$(gofmt -l cmd engine mapping voices); \
	[ -z "$$unformatted" ] || { echo "gofmt would change: $$unformatted"; exit 1; }; \
	echo "go vet"; go vet ./...; \
	echo "staticcheck"; go tool staticcheck ./...; \
	echo "without cgo"; CGO_ENABLED=0 go build -o $(OUT)/lapstrake-nocgo ./cmd/lapstrake; \
	echo "tests, fuzz seeds and commands end to end"; export LAPSTRAKE_JACK=required LAPSTRAKE_READERS=required; \
	go test $$(go list ./... | grep -Ev '/(cmd/lapstrake|engine/live(/.*)?)$$'); \
	go test -p 1 -timeout 20m ./engine/live/... ./cmd/lapstrake; \
	echo "race detector"; CGO_ENABLED=1 go test -race -short ./engine/... ./mapping ./mapping/export/... ./mapping/wav ./mapping/whole ./voices/; \
	CGO_ENABLED=1 go test -race -short -run 'Intake|Again|SameInputs|Repeatable' ./mapping/takes ./mapping/beds

peers: build
	@command -v gcc aubiopitch praat >/dev/null && [ -e /usr/include/samplerate.h ] && [ -e /usr/include/soxr.h ] || \
		{ apt-get update -q && apt-get install -qy gcc libc6-dev libsamplerate0-dev libsoxr-dev aubio-tools praat; }
	gcc -O2 -o $(OUT)/peers voices/testdata/peers.c -lsamplerate -lsoxr -lm
	LAPSTRAKE_PEERS=$(abspath $(OUT)/peers) $(GO) test ./voices -run '^$$' -bench Peers -benchtime 20x
	LAPSTRAKE_PITCH_PEERS=1 $(GO) test ./mapping/takes -run PitchPeers -v -count=1

generate:
	$(GO) generate ./voices/... ./mapping/wav/...

clean:
	rm -rf $(OUT)
