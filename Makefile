# Flatwright. `make run` and `make test` are all that is needed on a fresh
# Debian 12 machine with Go, gcc, git and make.

GO     ?= go
FUZZ   ?= 5m
KILLS  ?= 1000
GOFUMPT     = mvdan.cc/gofumpt@v0.12.0
STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2

.PHONY: run build test check bench fuzz pictures goldens clean

# Runs the main job on the demo photograph into ./out, prints the report, and
# opens the window if there is a display.
run: build
	./bin/flatwright make assets/demo.jpg --pitch 1in --paper a4 --out out
	@if [ -n "$$DISPLAY$$WAYLAND_DISPLAY" ]; then \
		echo "Opening the window."; ./bin/flatwright assets/demo.jpg --pitch 1in; \
	else \
		echo "No display, so no window. The pattern is in out/pattern.pdf."; \
	fi

build:
	@.ci/need build
	$(GO) build -o bin/flatwright ./app

# Runs every test. Pages, windows and pictures are read by other programs. The
# whole output is kept in out/test.log. Then every reader is fuzzed for 3 s.
test:
	@.ci/need test
	@GO="$(GO)" .ci/test
	@$(MAKE) --no-print-directory fuzz FUZZ=3s >out/fuzz.log 2>&1 || { cat out/fuzz.log; exit 1; }
	@echo "Fuzzed: $$(grep -c ^ok out/fuzz.log) readers for 3 s each."

# Formatting, vet and static analysis.
check:
	@.ci/need test
	@bad=$$($(GO) run $(GOFUMPT) -l .); if [ -n "$$bad" ]; then echo "gofumpt would change:"; echo "$$bad"; exit 1; fi
	$(GO) vet ./...
	$(GO) run $(STATICCHECK) ./...

# Each stage on the demo photograph, then the whole job against djpeg on the
# same file in the same run, by turns.
bench:
	@.ci/need build
	$(GO) test -run '^$$' -bench Demo -benchtime 9x ./app/

# Fuzzes every reader for FUZZ each (default 5m).
fuzz:
	@.ci/need test
	@GO="$(GO)" .ci/fuzz $(FUZZ)

# Kills programs that edit and export at KILLS random instants each, 1000 by
# default, and checks what is left; make test does so 200 times.
kills:
	@.ci/need test
	FLATWRIGHT_KILLS=$(KILLS) $(GO) test -v -count=1 -run '^TestKilled' -timeout 60m ./app/project ./export

# Makes the README's pictures anew: the window and a printed page.
pictures: build
	@.ci/need test
	.ci/pictures

# Draws the pictures anew that the window is compared with. Look at each before
# it is committed.
goldens:
	@.ci/need test
	$(GO) test -count=1 -run 'TestGoldens$$$$' ./app/desk -goldens

clean:
	rm -rf bin out
