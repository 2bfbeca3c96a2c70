# dosewright.  The two that matter: make demo, make test.  And make desk: the desk, on an invented clinic.
# Also: make (builds), check, score, campaign, fuzz, fresh, package, bench, install (PREFIX, DESTDIR), setup, clean.

# ---- rooms, in the order the data flows; tests/checks/layers reads them ------
ROOMS = base value syntax language figure reader roster schema plan fhir rules report wording night drawing page output record commands desk
PAPER_ROOMS = drawing page output
DESK_ROOMS  = desk
LIGHT_ROOMS = $(filter-out $(PAPER_ROOMS) $(DESK_ROOMS),$(ROOMS))

# ---- tools and flags ---------------------------------------------------------
BUILD    = .build
CC       = gcc
PREFIX   = /usr/local
UNITS    = $(PREFIX)/lib/systemd/system
DESTDIR  =
WARNINGS = -Wall -Wextra -Wshadow -Wmissing-prototypes -Wstrict-prototypes -Wformat=2 -Wvla -Wswitch-enum -Wtrampolines -Wbidi-chars=any -Werror
# No path of the folder in which it is built.
OPTIMISE = -O2 -g -ffile-prefix-map=$(CURDIR)=.
# What the OpenSSF's guide asks, as far as gcc 12 has it; marks of control flow are of x86.
CONTROL  = $(if $(filter x86_64 i686,$(call once,machine,uname -m)),-fcf-protection=full)
HARDEN   = -U_FORTIFY_SOURCE -D_FORTIFY_SOURCE=3 -fstack-protector-strong -fstack-clash-protection $(CONTROL) \
           -ftrivial-auto-var-init=zero -fno-delete-null-pointer-checks -fno-strict-overflow -fno-strict-aliasing -fPIE
CFLAGS   = -std=gnu17 $(OPTIMISE) $(WARNINGS) $(HARDEN) -Icompiler
LDFLAGS  = -pie -Wl,-z,relro -Wl,-z,now -Wl,-z,noexecstack -Wl,--as-needed
LIGHT    = glib-2.0 gio-2.0 yaml-0.1 nettle sqlite3
PAPER    = $(LIGHT) pangocairo pangoft2 cairo-pdf libpng fontconfig libqrencode
LATE     = poppler-glib
SERVING  = libmicrohttpd gnutls libsodium

# pkg-config is asked once, when a recipe first needs the answer: after setup.
once         = $(eval $(1) := $(shell $(2)))$($(1))
light_cflags = $(call once,light_cflags,pkg-config --cflags $(LIGHT) libpq)
paper_cflags = $(call once,paper_cflags,pkg-config --cflags $(PAPER) $(LATE) libpq)
light_libs   = $(call once,light_libs,pkg-config --libs $(LIGHT))
paper_libs   = $(call once,paper_libs,pkg-config --libs $(PAPER); echo -lm)
# What is loaded while a sheet is drawn is known by the name that a linker would write down.
late_name    = $(call once,late_name,objdump -p $$(pkg-config --variable=libdir $(LATE))/lib$(LATE).so | awk '/SONAME/ {print $$2}')
serving_libs = $(call once,serving_libs,pkg-config --libs $(SERVING))
cmocka       = $(call once,cmocka,pkg-config --cflags --libs cmocka)

# ---- sources and what is made of them ----------------------------------------
of_rooms = $(sort $(wildcard $(patsubst %,compiler/%/*.c,$(1))))
objects  = $(patsubst compiler/%.c,$(BUILD)/obj/%.o,$(1))
MAINS         = $(wildcard compiler/commands/dosewright*.c)
PAPER_OBJECTS = $(call objects,$(call of_rooms,$(PAPER_ROOMS)))
LIGHT_OBJECTS = $(call objects,$(filter-out $(MAINS),$(call of_rooms,$(LIGHT_ROOMS))))
LIGHT_LIBRARY = $(BUILD)/libdosewright.a
PAPER_LIBRARY = $(BUILD)/libdosewright-paper.a
# Commands that draw; the two programs that have them take what they need of it.
PAPER_MAIN    = $(BUILD)/obj/commands/dosewright_paper.o
DRAW_OBJECTS  = $(filter-out $(PAPER_MAIN),$(call objects,$(wildcard compiler/commands/dosewright_*.c)))
DRAW_LIBRARY  = $(BUILD)/libdosewright-draw.a
DESK_OBJECTS  = $(call objects,$(call of_rooms,$(DESK_ROOMS)))
PROGRAMS      = $(BUILD)/dosewright $(BUILD)/dosewright-paper $(BUILD)/dosewright-desk
UNIT_TESTS    = $(patsubst tests/unit/%.c,$(BUILD)/unit/%,$(wildcard tests/unit/test_*.c))
DRIVERS       = $(patsubst tests/drivers/%.c,$(BUILD)/drivers/%,$(wildcard tests/drivers/*.c))
BENCHES       = $(patsubst tests/bench/%.c,$(BUILD)/bench/%,$(wildcard tests/bench/*.c))
# Two jobs at a time, unless the user said how many.
two           = $(if $(filter -j%,$(MAKEFLAGS)),,-j2)

# ---- what a user types -------------------------------------------------------
.PHONY: all programs demo desk test check score campaign fuzz fresh package bench install clean setup setup-test setup-score setup-package setup-campaign unit benches fuzzed-desk FORCE
.DELETE_ON_ERROR:

all: setup
	@$(MAKE) --no-print-directory $(two) programs

demo: all
	@samples/print-all $(BUILD)/dosewright $(BUILD)/demo
	@echo "The nurses' desk, with twelve invented people for tonight: make desk"

desk: all
	@rm -rf $(BUILD)/tonight
	@samples/tonight $(BUILD)/tonight
	@$(BUILD)/dosewright desk --clinic $(BUILD)/tonight

test: setup-test
	@$(MAKE) --no-print-directory $(two) programs unit
	@tests/run all

check: setup-test
	@$(MAKE) --no-print-directory $(two) programs unit
	@tests/run checks

score: setup-score
	@$(MAKE) --no-print-directory $(two) programs
	@tests/score/run
	@tests/score/fails.py
	@tests/ical.py all
	@tests/times.py all
	@tests/random_times.py all
	@tests/languages.py all
	@tests/newcomer.py all
	@tests/checks/analysis clang
	@tests/independent.py 10000
	@tests/apart.py languages
	@tests/ordinary.py print
	@tests/reports.py screen
	@tests/fhir.py npm
	@tests/score/editor.py
	@node tests/score/desk.mjs

# FUZZ_SECONDS: how long each target is run.
fuzz: setup-campaign
	@tests/fuzz/run

# What takes hours and is no part of make test; tests/campaigns.md has the records.
campaign: setup-campaign
	@$(MAKE) --no-print-directory $(two) programs unit
	@tests/record.py 200
	@tests/day.py 200
	@tests/faults.py all
	@tests/record_faults.py all
	@tests/desk_faults.py all
	@tests/deep-analysis
	@tests/rebuilt
	@tests/other-machines clang
	@tests/other-machines s390x
	@tests/coverage
	@tests/memcheck
	@tests/fuzz/run
	@tests/mutate --count 400 --jobs 2

fresh:
	@tests/fresh-machine

# A Debian source package and what it builds, in .build/package.
package: setup-package
	@.debian/package

bench: setup-bench
	@$(MAKE) --no-print-directory $(two) programs benches
	@tests/bench/run

setup:
	@tests/setup build

setup-test:
	@tests/setup test

setup-score:
	@tests/setup score

setup-bench:
	@tests/setup bench

setup-package:
	@tests/setup package

setup-campaign:
	@tests/setup campaign

install: all
	@$(MAKE) --no-print-directory install-built

.PHONY: install-built units-alone
install-built: share = $(DESTDIR)$(PREFIX)/share
install-built: programs
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(PREFIX)/libexec/dosewright
	install -d $(share)/dosewright/templates $(share)/man/man1 $(share)/bash-completion/completions $(share)/zsh/site-functions
	install -m 755 $(BUILD)/dosewright $(DESTDIR)$(PREFIX)/bin/
	install -m 755 $(BUILD)/dosewright-paper $(BUILD)/dosewright-desk $(DESTDIR)$(PREFIX)/libexec/dosewright/
	cp -R templates/. $(share)/dosewright/templates/
	chmod -R u=rwX,go=rX $(share)/dosewright
	install -d $(DESTDIR)$(UNITS)
	sed 's|@PREFIX@|$(PREFIX)|' compiler/desk/dosewright-desk.service > $(DESTDIR)$(UNITS)/dosewright-desk.service
	chmod 644 $(DESTDIR)$(UNITS)/dosewright-desk.service
	$(foreach page,$(wildcard compiler/commands/*.1),install -m 644 $(page) $(share)/man/man1/;)
	compiler/commands/completions $(BUILD)/dosewright bash > $(share)/bash-completion/completions/dosewright
	compiler/commands/completions $(BUILD)/dosewright zsh > $(share)/zsh/site-functions/_dosewright

clean:
	rm -rf $(BUILD)

# ---- the three programs --------------------------------------------------------
programs: $(PROGRAMS)

$(BUILD)/dosewright: $(BUILD)/obj/commands/dosewright.o $(LIGHT_LIBRARY)
	@echo "  link   $@"; $(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(light_libs)

$(BUILD)/dosewright-paper: $(PAPER_MAIN) $(DRAW_LIBRARY) $(PAPER_LIBRARY) $(LIGHT_LIBRARY)
	@echo "  link   $@"; $(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(paper_libs)

$(BUILD)/dosewright-desk: $(DESK_OBJECTS) $(DRAW_LIBRARY) $(PAPER_LIBRARY) $(LIGHT_LIBRARY)
	@echo "  link   $@"; $(CC) $(CFLAGS) $(LDFLAGS) -o $@ $^ $(paper_libs) $(serving_libs)

$(LIGHT_LIBRARY): $(LIGHT_OBJECTS)
$(PAPER_LIBRARY): $(PAPER_OBJECTS)
$(DRAW_LIBRARY): $(DRAW_OBJECTS)
$(LIGHT_LIBRARY) $(PAPER_LIBRARY) $(DRAW_LIBRARY): Makefile
	@rm -f $@; ar rcs $@ $(filter %.o,$^)

$(PAPER_OBJECTS) $(PAPER_MAIN) $(DRAW_OBJECTS) $(DESK_OBJECTS): packages = $(paper_cflags)
$(BUILD)/obj/%.o: packages = $(light_cflags)
$(BUILD)/obj/%.o: compiler/%.c $(BUILD)/flags
	@mkdir -p $(@D); echo "  cc     $<"
	@$(CC) $(CFLAGS) $(packages) $(defines) -MMD -MP -c -o $@ $<

# For editors and analysers: how each file is compiled, in .build/compile_commands.json.
database: setup
	@mkdir -p $(BUILD); tests/database $(call of_rooms,$(ROOMS)) > $(BUILD)/compile_commands.json

# Objects follow the flags; what names the version or the folders follows those.
# The version stands in the list of changes; between two versions the commit is named too, as short as
# it can be: it stands in the last line of a sheet.
RELEASE  = $(call once,RELEASE,sed -n '/^\#\# /{s/^\#\# \([0-9.]*\).*/\1/p;q}' compiler/CHANGES.md)
COMMIT   = $(call once,COMMIT,[ -e .git ] && git describe --always --abbrev=7 --dirty --exclude '*' | sed 's/.*-dirty/changed/')
TAGGED   = $(call once,TAGGED,[ -e .git ] && git describe --dirty --exact-match --match 'v$(RELEASE)' 2>/dev/null)
VERSION  = $(RELEASE)$(if $(filter v$(RELEASE),$(TAGGED))$(if $(COMMIT),,none),,+$(COMMIT))
IDENTITY = -DDOSEWRIGHT_VERSION='"$(VERSION)"' \
           -DDOSEWRIGHT_TEMPLATES='"$(PREFIX)/share/dosewright/templates"' \
           -DDOSEWRIGHT_LIBEXEC='"$(PREFIX)/libexec/dosewright"'
identified = $(BUILD)/obj/commands/commands.o
$(identified): $(BUILD)/identity
$(identified): defines = $(IDENTITY)
$(BUILD)/obj/output/reader.o: defines = $(LOADED)
LOADED = -DDOSEWRIGHT_POPPLER='"$(late_name)"'
$(BUILD)/flags: text = $(CC) $(CFLAGS)
$(BUILD)/identity: text = $(subst ',,$(IDENTITY))
$(BUILD)/flags $(BUILD)/identity: FORCE
	@mkdir -p $(@D); echo '$(text)' | cmp -s - $@ || echo '$(text)' > $@

# ---- tests -------------------------------------------------------------------
# make say-NAME prints what this file knows, for tests/checks.
COMPILE = $(CFLAGS) $(paper_cflags) $(filter -I%,$(cmocka)) $(IDENTITY) $(LOADED) -DTEST_DATA='"tests"'
say-%:
	@: $(info $($*))

fuzzed = $(call once,fuzzed,sed -n 's/^TARGET(\(.*\))$$/\1/p' tests/fuzz/targets.def)

# Without what is loaded into the programs of this machine.
units-alone: $(UNIT_TESTS)
unit: $(UNIT_TESTS) $(DRIVERS) $(BUILD)/drivers/replay $(BUILD)/drivers/fail.so $(BUILD)/drivers/escape.so
benches: $(BENCHES)

$(UNIT_TESTS) $(DRIVERS) $(BENCHES): $(PAPER_LIBRARY) $(LIGHT_LIBRARY)
# What fails on a bad disk fails here on purpose.
$(BUILD)/unit/test_publish: LDFLAGS += -Wl,--wrap=rename,--wrap=fsync,--wrap=write,--wrap=link,--wrap=read,--wrap=close
# Hours pass at once; of the desk it has the gate alone.
$(BUILD)/unit/test_gate: LDFLAGS += -Wl,--wrap=g_get_monotonic_time
$(BUILD)/unit/test_gate: gate_objects = $(patsubst %,$(BUILD)/obj/desk/%.o,gate tries staff roles)
$(BUILD)/unit/test_gate: $(patsubst %,$(BUILD)/obj/desk/%.o,gate tries staff roles)
$(BUILD)/unit/test_written: gate_objects = $(BUILD)/obj/desk/written.o
$(BUILD)/unit/test_written: $(BUILD)/obj/desk/written.o
$(BUILD)/unit/%: tests/unit/%.c
	@mkdir -p $(@D); echo "  test   $@"
	@$(CC) $(CFLAGS) $(LDFLAGS) $(paper_cflags) -DTEST_DATA='"tests"' -MMD -MP -o $@ $< $(gate_objects) \
	    $(PAPER_LIBRARY) $(LIGHT_LIBRARY) $(paper_libs) $(if $(gate_objects),$(serving_libs)) $(cmocka)
$(BUILD)/drivers/%: tests/drivers/%.c
	@mkdir -p $(@D); echo "  driver $@"
	@$(CC) $(CFLAGS) $(LDFLAGS) $(light_cflags) -MMD -MP -o $@ $< $(LIGHT_LIBRARY) $(light_libs)
# Draws, unlike the other drivers.
$(BUILD)/drivers/contact: tests/drivers/contact.c
	@mkdir -p $(@D); echo "  driver $@"
	@$(CC) $(CFLAGS) $(LDFLAGS) $(paper_cflags) -MMD -MP -o $@ $< \
	    $(PAPER_LIBRARY) $(LIGHT_LIBRARY) $(paper_libs)
# Makes one call of a whole program fail; tries at its end what it must not be able to do.
$(BUILD)/drivers/fail.so: tests/faults/fail.c
$(BUILD)/drivers/escape.so: tests/confine/escape.c
$(BUILD)/drivers/%.so: $(BUILD)/flags
	@mkdir -p $(@D); echo "  driver $@"
	@$(CC) -std=gnu17 -O2 $(WARNINGS) -shared -fPIC -o $@ $(filter %.c,$^) -ldl
# The fuzz targets without a fuzzer, each under a name of its own.
FUZZED_DESK = $(patsubst %,$(BUILD)/obj/desk/%.o,file request written)
fuzzed-desk: $(FUZZED_DESK)
$(BUILD)/drivers/replay: tests/fuzz/replay.c $(wildcard tests/fuzz/*.[ch] tests/fuzz/*.def) $(FUZZED_DESK) $(PAPER_LIBRARY) $(LIGHT_LIBRARY)
	@mkdir -p $(BUILD)/replay $(@D); echo "  driver $@"
	@for target in $(fuzzed); do \
	    $(CC) $(CFLAGS) $(paper_cflags) -DLLVMFuzzerTestOneInput=target_$$target -c -o $(BUILD)/replay/$$target.o \
	        tests/fuzz/$$target.c || exit 1; done
	@$(CC) $(CFLAGS) $(LDFLAGS) $(paper_cflags) -o $@ $< $(patsubst %,$(BUILD)/replay/%.o,$(fuzzed)) \
	    $(FUZZED_DESK) $(PAPER_LIBRARY) $(LIGHT_LIBRARY) $(paper_libs)
$(BUILD)/bench/%: tests/bench/%.c
	@mkdir -p $(@D); echo "  bench  $@"
	@$(CC) $(CFLAGS) $(LDFLAGS) $(paper_cflags) -MMD -MP -o $@ $< \
	    $(PAPER_LIBRARY) $(LIGHT_LIBRARY) $(paper_libs)

-include $(wildcard $(BUILD)/obj/*/*.d $(BUILD)/unit/*.d $(BUILD)/drivers/*.d $(BUILD)/bench/*.d)
