# dosewright.  The two that matter: make demo, make test.

# ---- rooms, in the order the data flows --------------------------------------
CHECK_ROOMS = arena source diagnostic syntax quantity moment model reader seal schema plan rules \
              output_publish load commands
PAPER_ROOMS = wording ink figures page output_pdf

# ---- tools and flags ---------------------------------------------------------
BUILD   = .build
CC      = gcc
PREFIX  = /usr/local
DESTDIR =
VERSION := $(shell git describe --always --dirty --tags 2>/dev/null || echo unversioned)
WARNINGS = -Wall -Wextra -Wshadow -Wmissing-prototypes -Wstrict-prototypes -Wformat=2 -Wvla -Werror
HARDENING = -D_FORTIFY_SOURCE=2 -fstack-protector-strong -fPIE
OPTIMISE = -O2 -g
CFLAGS  = -std=gnu17 $(OPTIMISE) $(WARNINGS) $(HARDENING) -Icompiler
LIGHT   = glib-2.0 gio-2.0 yaml-0.1
PAPER   = pangocairo cairo-pdf fontconfig
light_flags = $(shell pkg-config --cflags $(LIGHT))
paper_flags = $(shell pkg-config --cflags $(LIGHT) $(PAPER))
light_libs  = -pie $(shell pkg-config --libs glib-2.0 gio-2.0 yaml-0.1)
paper_libs  = $(light_libs) $(shell pkg-config --libs $(PAPER)) -lm

# ---- sources -----------------------------------------------------------------
sources = $(sort $(foreach room,$(1),$(wildcard compiler/$(room).c compiler/$(room)_*.c compiler/$(room)/*.c)))
CHECK_SOURCES = $(call sources,$(CHECK_ROOMS))
PAPER_SOURCES = $(filter-out $(CHECK_SOURCES),$(call sources,$(PAPER_ROOMS)))
CHECK_OBJECTS = $(CHECK_SOURCES:compiler/%.c=$(BUILD)/obj/%.o)
PAPER_OBJECTS = $(PAPER_SOURCES:compiler/%.c=$(BUILD)/obj/%.o)
UNIT_TESTS = $(patsubst tests/unit/%.c,$(BUILD)/unit/%,$(wildcard tests/unit/test_*.c))

# ---- what a user types -------------------------------------------------------
.PHONY: all programs demo test check bench install clean setup setup-test unit
all: setup
	@$(MAKE) --no-print-directory programs

demo: all
	@tests/demo $(BUILD)

test: setup-test
	@$(MAKE) --no-print-directory programs unit
	@tests/run

check: setup-test
	@$(MAKE) --no-print-directory programs
	@tests/check

bench: setup-test
	@$(MAKE) --no-print-directory programs
	@tests/bench/run

setup:
	@tests/setup build

setup-test:
	@tests/setup test

clean:
	rm -rf $(BUILD)

install: all
	install -d $(DESTDIR)$(PREFIX)/bin $(DESTDIR)$(PREFIX)/libexec/dosewright
	install -d $(DESTDIR)$(PREFIX)/share/dosewright $(DESTDIR)$(PREFIX)/share/man/man1
	install -m 755 $(BUILD)/dosewright $(DESTDIR)$(PREFIX)/bin/
	install -m 755 $(BUILD)/dosewright-paper $(DESTDIR)$(PREFIX)/libexec/dosewright/
	install -m 644 compiler/dosewright.1 $(DESTDIR)$(PREFIX)/share/man/man1/
	cp -R templates $(DESTDIR)$(PREFIX)/share/dosewright/

# ---- the two programs --------------------------------------------------------
programs: $(BUILD)/dosewright $(BUILD)/dosewright-paper
unit: $(UNIT_TESTS)

$(BUILD)/dosewright: $(BUILD)/obj/dosewright.o $(CHECK_OBJECTS)
	@echo "  link   $@"; $(CC) $(CFLAGS) -o $@ $^ $(light_libs)

$(BUILD)/dosewright-paper: $(BUILD)/obj/dosewright_paper.o $(CHECK_OBJECTS) $(PAPER_OBJECTS)
	@echo "  link   $@"; $(CC) $(CFLAGS) -o $@ $^ $(paper_libs)

$(BUILD)/obj/%.o: compiler/%.c $(BUILD)/version
	@mkdir -p $(@D); echo "  cc     $<"
	@$(CC) $(CFLAGS) -MMD -MP $(paper_flags) $(DEFINES) -c -o $@ $<

$(BUILD)/unit/%: tests/unit/%.c $(CHECK_OBJECTS) $(PAPER_OBJECTS)
	@mkdir -p $(@D); echo "  test   $@"
	@$(CC) $(CFLAGS) -Wno-missing-prototypes -MMD -MP $(paper_flags) $(DEFINES) $(shell pkg-config --cflags cmocka) \
	    -o $@ $< $(CHECK_OBJECTS) $(PAPER_OBJECTS) $(paper_libs) $(shell pkg-config --libs cmocka)

# Only commands.c knows the version; the stamp changes when the version does.
DEFINES = $(if $(filter commands,$(basename $(@F))),$(COMMAND_DEFINES))
COMMAND_DEFINES = -DDOSEWRIGHT_VERSION='"$(VERSION)"' \
    -DDOSEWRIGHT_TEMPLATES='"$(PREFIX)/share/dosewright/templates"' \
    -DDOSEWRIGHT_LIBEXEC='"$(PREFIX)/libexec/dosewright"'
$(BUILD)/version:
	@mkdir -p $(@D); touch $@
$(BUILD)/obj/commands.o: $(BUILD)/version-$(VERSION)
$(BUILD)/version-$(VERSION):
	@mkdir -p $(@D); rm -f $(BUILD)/version-*; touch $@

-include $(wildcard $(BUILD)/obj/*.d $(BUILD)/obj/*/*.d $(BUILD)/unit/*.d)
