# make demo: from a fresh machine to sound.  make test: everything that must pass.
# make quick: the most of it, while at work.
# make listen: keys, a chord, a sweep, strums and all that check draws, beside the time before, of demo and recordings.
# PROJECT=DIR make listen: of a project of yours.
# make peers: resampling, pitch finding and the worst blocks against general libraries and tools, and a client in C.
# make soak: every fault of a player 20 times, in fifteen minutes, then a thousand kills and a hundred full disks, in
# as many.
# TORTURE=60 make soak: the torture score for an hour, too.
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

.PHONY: demo test quick listen peers soak generate build install uninstall clean

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
	$(LAP) hold $(OUT)/boatyard C3 G3 E4 B4 --for 1m -o $(OUT)/chord.wav --picture $(OUT)/chord.png --force
	$(LAP) sweep $(OUT)/boatyard C3 G3 E4 B4 --for 20s -o $(OUT)/sweep.wav --picture $(OUT)/sweep.png --force
	$(LAP) export $(OUT)/boatyard -o $(OUT)/boatyard-export --force
	$(LAP) play $(OUT)/boatyard --chord C3,G3,E4,B4 --for 15s
	@echo
	@echo "The boatyard's project:  $(OUT)/boatyard"
	@echo "A chord held for 1 min:  $(OUT)/chord.wav, its level and who is heard when in $(OUT)/chord.png"
	@echo "A sweep of the dynamics: $(OUT)/sweep.wav, its level over time in $(OUT)/sweep.png"
	@echo "For any sampler:         $(OUT)/boatyard-export, beginning with HOWTO.txt"
	@echo "Now play it:             $(LAP) play $(OUT)/boatyard"
	@echo "Watch it, and play there: $(LAP) play $(OUT)/boatyard --page, then open the address that it prints"
	@echo "Begin with the volume low, on headphones above all."

listen: build
	@OUT=$(OUT) bash .ci/listen $(PROJECT)

test:
	@export PATH="$$(bash .ci/tools test | tail -n 1):$$PATH"; OUT=$(OUT) bash .ci/test

# For the work at hand. Left out: the race detector, what plays in real time, other programs, long sounds.
SLOW := ^Test(Play|JACK|Bank|SoundTable|Export(Is|Read|Onto)|Killed|Interrupted|Builders|WorkOn|CompareNames)
SLOW := $(SLOW)|^Test(Rebuilder|Planted|SoundMaps)
SLOW := $(SLOW)|^Test(NoiseFloor|Hum|Kind|Decay|Onset|Pitch(None|Rec|Exact|Hard)|Recordings)
SLOW := $(SLOW)|FFmpeg|Libebur|MP3|EBUTest|DecodeRefusals|KeepTheirFigures|JoinsOfACycle|OddTakes|CopiesAre
SLOW := $(SLOW)|Denoise|Conform|Defects|InTune|Speech|CutContainers|InHiss|StrikesAre|NoisesAre|PartialsAreNo
SLOW := $(SLOW)|SlowOnset|TestReaders|BandLimit|SameArguments
SLOW := $(SLOW)|^TestScripts/(export|play_refuses|map_settings|bench|rates|withdraw|standing)
quick:
	@unformatted=$$(gofmt -l cmd engine mapping voices); \
		[ -z "$$unformatted" ] || { echo "gofmt would change: $$unformatted"; exit 1; }
	$(GO) vet ./...
	$(GO) test -short -skip '$(SLOW)' ./...

peers: build
	@command -v gcc aubiopitch praat >/dev/null && [ -e /usr/include/samplerate.h ] && [ -e /usr/include/soxr.h ] || \
		{ apt-get update -q && apt-get install -qy gcc libc6-dev libsamplerate0-dev libsoxr-dev aubio-tools praat; }
	gcc -O2 -o $(OUT)/peers voices/testdata/peers.c -lsamplerate -lsoxr -lm
	LAPSTRAKE_PEERS=$(abspath $(OUT)/peers) $(GO) test ./voices -run '^$$' -bench Peers -benchtime 20x
	LAPSTRAKE_PITCH_PEERS=1 $(GO) test ./mapping/takes -run PitchPeers -v -count=1
	LAPSTRAKE_BLOCK_PEERS=1 LAPSTRAKE_JACK=required $(GO) test ./cmd/lapstrake -run BlockPeers -v -count=1

soak:
	@export PATH="$$(bash .ci/tools test | tail -n 1):$$PATH"; OUT=$(OUT) bash .ci/soak
	LAPSTRAKE_KILLS=1000 $(GO) test ./cmd/lapstrake -run 'TestKilledWork|TestWorkOnFullDisks' -count=1 -v -timeout 60m

generate:
	$(GO) generate ./voices/... ./mapping/wav/...

clean:
	rm -rf $(OUT)
