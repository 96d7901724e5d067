# SPDX-License-Identifier: MIT
# The assessment's promises, measured on invented throwers.
#   make simulate        all of it; SEED=N for another run, SCALE=0.2 for a fifth of the pupils,
#                        PART=name for one part, CANDIDATE=between for a proposed "how sure" beside today's
#   check-simulation     a short run of the same (wider Monte Carlo error), part of `make check`
SUITES += simulation
SIMULATE := $(T)/sim/simulate
SIM_OBJ := $(patsubst tests/%.c,$(T)/%.o,$(wildcard tests/sim/*.c))
$(SIMULATE): $(SIM_OBJ) $(call lib,assess)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(CFLAGS) $(LDHARD) -o $@ $^ -lm

simulate: $(SIMULATE)
	$(Q)$< $(if $(SEED),--seed $(SEED)) $(if $(SCALE),--scale $(SCALE)) $(if $(PART),--part $(PART)) \
	    $(if $(CANDIDATE),--candidate $(CANDIDATE))

check-simulation: $(SIMULATE)
	@mkdir -p $(T)/counts
	@$< --scale 0.05 >$(T)/simulation.txt 2>&1; status=$$?; grep -E 'OFF|off:' $(T)/simulation.txt; \
	sed -n 's/.* \([0-9]*\) figures ok, \([0-9]*\) off.*/\1 \2/p' $(T)/simulation.txt >$(T)/counts/simulation; \
	awk '{ print "simulation: " $$1 " passed, " $$2 " failed" }' $(T)/counts/simulation; exit $$status

.PHONY: simulate
