# SPDX-License-Identifier: MIT
# The assessment as a whole: published values, R's mathlib as a second opinion, enumeration,
# properties over seeded random records; and the reader of reference vectors, from outside.
# Linked with the assessment alone, and with libRmath where a program asks for it.
SUITES += assess
ASSESS_NAMES := $(patsubst tests/assess/test_%.c,%,$(wildcard tests/assess/test_*.c))
ASSESS_BINS := $(patsubst %,$(T)/assess/test_%,$(ASSESS_NAMES))
$(T)/assess/test_mathlib: ASSESS_LIBS := -lRmath

$(ASSESS_BINS): $(T)/assess/test_%: $(T)/assess/test_%.o $(call lib,assess)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(CFLAGS) $(LDHARD) -o $@ $< $(call lib,assess) -lcmocka $(ASSESS_LIBS) -lm

check-assess: $(ASSESS_BINS) $(B)/tests/vectors
	@THRICE_VECTORS_BIN=$(B)/tests/vectors sh tests/lib/run_programs.sh $(T)/counts/assess \
	    $(ASSESS_BINS) tests/assess/vectors.sh
.PHONY: check-assess
