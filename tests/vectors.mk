# SPDX-License-Identifier: MIT
# THRICE_VECTORS=DIR make check-vectors: reference vectors of the assessment found in DIR.
VECTORS_BIN := $(B)/tests/vectors
$(VECTORS_BIN): tests/unit/test_vectors.c $(wildcard tests/unit/vectors/*.h) $(call lib,assess)
	@mkdir -p $(@D)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(CFLAGS) $(LDHARD) -o $@ $< $(call lib,assess) -lm

check-vectors: $(VECTORS_BIN)
	$(Q)$(VECTORS_BIN)

.PHONY: check-vectors
