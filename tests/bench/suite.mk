# SPDX-License-Identifier: MIT
# What the assessment costs, with its goals: make bench-assess (a part of make bench).
BENCH_ASSESS := $(T)/bench/assess
BENCH_OBJ := $(patsubst tests/%.c,$(T)/%.o,$(wildcard tests/bench/*.c)) $(T)/sim/rng.o $(T)/sim/people.o
$(BENCH_ASSESS): $(BENCH_OBJ) $(call lib,assess)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(CFLAGS) $(LDHARD) -o $@ $^ -lm

bench-assess: $(BENCH_ASSESS)
	$(Q)$<

bench: bench-assess

.PHONY: bench-assess
