# SPDX-License-Identifier: MIT
# What the assessment costs, with its goals: make bench-assess (a part of make bench).
BENCH_ASSESS := $(T)/bench/assess
BENCH_OBJ := $(patsubst tests/%.c,$(T)/%.o,$(wildcard tests/bench/*.c)) $(T)/sim/rng.o $(T)/sim/people.o
$(BENCH_ASSESS): $(BENCH_OBJ) $(call lib,assess)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(CFLAGS) $(LDHARD) -o $@ $^ -lm

bench-assess: $(BENCH_ASSESS)
	$(Q)$<

# What a child waits for on a slow phone (ROUNDS=5 children).
bench-phone: $(B)/thrice
	@THRICE=$< THRICE_KDF=floor node tests/bench/phone.mjs

# How soon a grid of 30 x 40 answers a teacher's hand (ROUNDS=5).
bench-grid: $(B)/thrice
	@THRICE=$< THRICE_KDF=floor node tests/bench/grid.mjs

bench: bench-assess bench-phone bench-grid

.PHONY: bench-assess bench-phone bench-grid
