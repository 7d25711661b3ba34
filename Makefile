# afterpick: make demo | make check are all a new machine needs. See README.md.
SHELL = /bin/sh
MODE ?= release
PREFIX ?= /usr/local
DESTDIR ?=
CC ?= cc
VERSION := 0.1.0

B := build/$(MODE)
PKGS := sqlite3 libpcre2-8 gsl libcmark libmd libzip expat
# Asked for only when something is compiled: `make check` on a bare machine installs pkg-config first.
PKG_CFLAGS = $(shell pkg-config --cflags $(PKGS))
PKG_LIBS = $(shell pkg-config --libs $(PKGS))

WARN := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes -Wvla -Wformat=2 -Werror
CPPFLAGS += -Isrc -I$(B)/gen -D_XOPEN_SOURCE=700 -D_DEFAULT_SOURCE -D_FILE_OFFSET_BITS=64 -DAP_VERSION='"$(VERSION)"'
BASE_CFLAGS := -std=c17 $(WARN) -ffp-contract=off -fno-math-errno
CFLAGS_release := -O2 -g -D_FORTIFY_SOURCE=2 -fstack-protector-strong
CFLAGS_debug := -O0 -g3
CFLAGS_asan := -O1 -g3 -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
CFLAGS_fuzz := -O1 -g3 -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=undefined
LDFLAGS_asan := -fsanitize=address,undefined
LDFLAGS_fuzz := -fsanitize=address,undefined
ALL_CFLAGS = $(BASE_CFLAGS) $(CFLAGS_$(MODE)) $(CFLAGS)
ALL_LDFLAGS = $(LDFLAGS_$(MODE)) $(LDFLAGS)
LIBS = $(PKG_LIBS) -lm

SRC := $(filter-out src/cli/main.c,$(sort $(wildcard src/*/*.c)))
OBJ := $(SRC:src/%.c=$(B)/%.o) $(B)/gen/assets.o
LIB := $(B)/libafterpick.a
BIN := $(B)/afterpick
ASSETS := $(sort $(shell find sql plots -type f 2>/dev/null))

TEST_SRC := $(sort $(wildcard tests/*/test_*.c))
TEST_SUPPORT := $(patsubst %.c,$(B)/%.o,$(sort $(wildcard tests/support/*.c)))
TEST_BIN := $(TEST_SRC:tests/%.c=$(B)/tests/%)
TOOL_SRC := $(sort $(wildcard samples/*.c tests/bench/*.c))
TOOL_BIN := $(TOOL_SRC:%.c=$(B)/%)

.PHONY: all demo pictures check build-tests bench calibrate asan valgrind fuzz oracle lint format install clean help setup-build setup-check
.DELETE_ON_ERROR:
.SECONDARY:

all: $(BIN)

help:
	@echo 'make            build the program: $(BIN)'
	@echo 'make demo       install what is missing, build, import samples/, write a review and say where it lies'
	@echo 'make pictures   the demonstration, and docs/review.png drawn from it (needs chromium)'
	@echo 'make check      install what is missing, build, run every test'
	@echo 'make asan       the unit tests under the address and undefined-behaviour sanitizers'
	@echo 'make valgrind   the unit tests under valgrind'
	@echo 'make fuzz       the fuzz targets (SECONDS=600 each; needs clang)'
	@echo 'make bench      speed beside general-purpose programs, as ratios'
	@echo 'make calibrate  found against announced on invented months (SEEDS="1 2", MONTHS=80 a seed; none given: five fresh ones)'
	@echo 'make lint       floors, sizes, format, clang-tidy'
	@echo 'make format     clang-format over the source'
	@echo 'make install    DESTDIR= PREFIX= : one binary, a man page, completion for bash'
	@echo 'make clean      remove build/'

$(BIN): $(B)/cli/main.o $(LIB)
	@$(CC) $(ALL_CFLAGS) $(ALL_LDFLAGS) -o $@ $^ $(LIBS)

$(LIB): $(OBJ)
	@rm -f $@
	@ar rcs $@ $(OBJ)

$(B)/%.o: src/%.c
	@mkdir -p $(@D)
	@$(CC) $(CPPFLAGS) $(PKG_CFLAGS) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<

# What a kept fact rests on: a build from other sources works the facts of a book out anew (src/analysis/kept_company.c).
METHOD_SRC := $(sort $(wildcard src/base/*.[ch] src/base/*.def src/mech/*.[ch] src/derive/*.[ch] src/book/pick_*.[ch] \
    src/analysis/roster*.[ch] src/analysis/fact_*.[ch] src/analysis/keep_*.[ch] src/analysis/kept_*.[ch]))
$(B)/analysis/kept_company.o: $(METHOD_SRC)
$(B)/analysis/kept_company.o: CPPFLAGS += -DAP_METHOD_SUM=$(shell cat $(METHOD_SRC) | cksum | cut -d ' ' -f 1)

$(B)/gen/assets.c: src/base/embed.sh $(ASSETS) | $(B)/gen
	@sh src/base/embed.sh $(ASSETS) > $@

$(B)/gen/assets.o: $(B)/gen/assets.c
	@$(CC) $(CPPFLAGS) $(ALL_CFLAGS) -c -o $@ $<

$(B)/gen:
	@mkdir -p $@

$(B)/tests/support/%.o: tests/support/%.c
	@mkdir -p $(@D)
	@$(CC) $(CPPFLAGS) -Itests $(PKG_CFLAGS) $(ALL_CFLAGS) -MMD -MP -c -o $@ $<

$(B)/tests/%: tests/%.c $(TEST_SUPPORT) $(LIB)
	@mkdir -p $(@D)
	@$(CC) $(CPPFLAGS) -Itests $(PKG_CFLAGS) $(ALL_CFLAGS) $(ALL_LDFLAGS) -MMD -MP -o $@ $< $(TEST_SUPPORT) $(LIB) -lcmocka $(LIBS)

$(B)/samples/%: samples/%.c $(LIB)
	@mkdir -p $(@D)
	@$(CC) $(CPPFLAGS) $(PKG_CFLAGS) $(ALL_CFLAGS) $(ALL_LDFLAGS) -MMD -MP -o $@ $< $(LIB) $(LIBS)

build-tests: $(BIN) $(TEST_BIN) $(TOOL_BIN)

setup-build:
	@sh .ci/install build

setup-check:
	@sh .ci/install check

demo: setup-build
	@$(MAKE) --no-print-directory all
	@BIN=$(BIN) sh samples/demo.sh

# The README's picture: the first page of the demonstration's review, as headless Chromium shows it.
pictures: demo
	@sh samples/pictures.sh

check: setup-check
	@$(MAKE) --no-print-directory build-tests
	@BUILD=$(B) sh tests/run.sh

asan:
	@$(MAKE) --no-print-directory MODE=asan build-tests
	@BUILD=build/asan sh tests/run.sh unit

valgrind:
	@$(MAKE) --no-print-directory MODE=debug build-tests
	@BUILD=build/debug WRAP='valgrind -q --error-exitcode=9 --leak-check=full' sh tests/run.sh unit

fuzz: setup-check
	@sh tests/fuzz/run.sh

bench: setup-check
	@$(MAKE) --no-print-directory build-tests
	@BUILD=$(B) sh tests/bench/run.sh
	@BUILD=$(B) sh tests/bench/phrases.sh
	@BUILD=$(B) sh tests/bench/findings.sh

calibrate: setup-check
	@$(MAKE) --no-print-directory build-tests
	@$(B)/tests/bench/calibrate $(or $(MONTHS),80) 0 $(or $(SEEDS),$$(od -An -N20 -tu4 /dev/urandom))

oracle:
	@sh .ci/install oracle
	@sh tests/oracle/run.sh

lint:
	@sh tests/lint.sh

format:
	@clang-format -i $(wildcard src/*/*.c src/*/*.h tests/*/*.c tests/*/*.h samples/*.c)

install: all
	install -d '$(DESTDIR)$(PREFIX)/bin' '$(DESTDIR)$(PREFIX)/share/man/man1'
	install -m 755 $(BIN) '$(DESTDIR)$(PREFIX)/bin/afterpick'
	install -m 644 docs/afterpick.1 '$(DESTDIR)$(PREFIX)/share/man/man1/afterpick.1'
	install -d '$(DESTDIR)$(PREFIX)/share/bash-completion/completions'
	$(BIN) --completion bash >'$(DESTDIR)$(PREFIX)/share/bash-completion/completions/afterpick'

clean:
	rm -rf build demo

-include $(shell find build/$(MODE) -name '*.d' 2>/dev/null)
