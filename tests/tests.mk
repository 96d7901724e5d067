# SPDX-License-Identifier: MIT
# Tests. `make check` builds and runs every suite in SUITES and ends with "N passed, N failed".
#
#   tests/unit/test_M.c    one cmocka program, linked with the layer of server/<layer>/M.c and those
#                          below it and nothing else: a forbidden call does not link
#   tests/store/test_X.c   one cmocka program on a real database, linked with store and below
#   tests/lib/*.c          what tests share (fixture.h); day.c is linked into each program, so that
#                          THRICE_AT says on what day it runs
#   tests/*/suite.mk       a further suite: adds its name to SUITES and a target check-<name> that
#                          leaves "PASSED FAILED" in $(B)/tests/counts/<name>
SUITES := unit store reference lint
T := $(B)/tests

below_base := base
below_assess := assess base
below_store := store assess base
below_auth := auth store assess base
below_http := http base
below_handlers := handlers http auth store assess base
embedded_store := $(B)/embed/migrations.o
embedded_auth := $(B)/embed/migrations.o
embedded_http := $(B)/embed/web.o
embedded_handlers := $(B)/embed/migrations.o $(B)/embed/web.o

layer_of = $(firstword $(foreach l,$(LAYERS),$(if $(wildcard server/$(l)/$(1).c),$(l))) handlers)
layer_libs = $(foreach l,$(below_$(1)),$(call lib,$(l)))

# cmocka's macros cast on their own account.
TEST_CFLAGS = $(filter-out -Wconversion -Wcast-qual,$(CFLAGS)) -Itests/lib -Iserver
TEST_LIBS := -lcmocka

$(T)/%.o: tests/%.c
	@mkdir -p $(@D)
	$(if $(Q),@echo "  CC $<")
	$(Q)$(CC) $(TEST_CFLAGS) -MMD -MP -c $< -o $@

TEST_LIB_OBJ := $(patsubst tests/%.c,$(T)/%.o,$(wildcard tests/lib/*.c))
$(T)/libtest.a: $(TEST_LIB_OBJ)
	$(Q)rm -f $@ && $(AR) rcs $@ $^

# $(1) program, $(2) its object, $(3) layer
define TEST_PROGRAM
$(1): $(2) $(T)/lib/day.o $(T)/libtest.a $(call layer_libs,$(3)) $(embedded_$(3))
	$(if $(Q),@echo "  LD $$@")
	$$(Q)$$(CC) $$(CFLAGS) $$(LDHARD) -Wl,--as-needed -o $$@ $(2) $(T)/lib/day.o -Wl,--start-group $(T)/libtest.a $(call layer_libs,$(3)) -Wl,--end-group $(embedded_$(3)) $$(TEST_LIBS) $$(LIBS)
endef

UNIT_NAMES := $(filter-out vectors,$(patsubst tests/unit/test_%.c,%,$(wildcard tests/unit/test_*.c)))
$(foreach n,$(UNIT_NAMES),$(eval $(call TEST_PROGRAM,$(T)/unit/test_$(n),$(T)/unit/test_$(n).o,$(call layer_of,$(n)))))
UNIT_BINS := $(patsubst %,$(T)/unit/test_%,$(UNIT_NAMES))

STORE_NAMES := $(patsubst tests/store/%.c,%,$(wildcard tests/store/test_*.c))
$(foreach n,$(STORE_NAMES),$(eval $(call TEST_PROGRAM,$(T)/store/$(n),$(T)/store/$(n).o,store)))
STORE_BINS := $(patsubst %,$(T)/store/%,$(STORE_NAMES))

check-unit: $(UNIT_BINS)
	@sh tests/lib/run_programs.sh $(T)/counts/unit $^
check-store: $(STORE_BINS)
	@sh tests/lib/run_programs.sh $(T)/counts/store $^
# The assessment's reference vectors that are kept here (tests/vectors.mk: those of another folder).
check-reference: $(B)/tests/vectors
	@mkdir -p $(T)/counts
	@THRICE_VECTORS= $< >$(T)/reference.txt 2>&1; status=$$?; cat $(T)/reference.txt; \
	sed -n 's/^\([0-9]*\) rows checked, \([0-9]*\) differences$$/\1 \2/p' $(T)/reference.txt | \
	    awk '{print $$1 - $$2, $$2}' >$(T)/counts/reference; exit $$status
check-lint: $(B)/thrice
	@THRICE=$< sh tests/lint/run.sh $(T)/counts/lint

# One program: make check-one N=test_text
check-one: $(filter %/$(N),$(UNIT_BINS) $(STORE_BINS))
	@sh tests/lib/run_programs.sh $(T)/counts/one $^

-include $(wildcard tests/*/suite.mk)

check:
	@MAKE="$(MAKE)" sh tests/lib/run_suites.sh $(B) $(SUITES)

lint: check-lint

# Test objects stay, for the next run.
.SECONDARY:
.PHONY: check check-one lint $(addprefix check-,$(SUITES))
