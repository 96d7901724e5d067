# SPDX-License-Identifier: MIT
# Fuzz targets of every function of the assessment that takes a record, in libFuzzer's form. They
# are always built with ASan and UBSan. check-fuzz replays the corpus and some thousand seeded
# mutations each (driver.c, any compiler); `make fuzz` runs clang's libFuzzer, FUZZ_SECONDS each.
SUITES += fuzz
FUZZ_NAMES := $(patsubst tests/fuzz/%.c,%,$(wildcard tests/fuzz/fuzz_*.c))
FUZZ_CFLAGS := -std=c11 -D_GNU_SOURCE -g -O1 $(WARN) -Iinclude -Itests/fuzz \
    -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer
FUZZ_DIR := $(T)/fuzz
FUZZ_OBJ := $(patsubst server/assess/%.c,$(FUZZ_DIR)/%.o,$(call src,assess)) $(FUZZ_DIR)/driver.o
FUZZ_BINS := $(addprefix $(FUZZ_DIR)/,$(FUZZ_NAMES))

$(FUZZ_DIR)/%.o: server/assess/%.c
	@mkdir -p $(@D)
	$(Q)$(CC) $(FUZZ_CFLAGS) -MMD -MP -c $< -o $@
$(FUZZ_DIR)/%.o: tests/fuzz/%.c
	@mkdir -p $(@D)
	$(Q)$(CC) $(FUZZ_CFLAGS) -MMD -MP -c $< -o $@
$(FUZZ_BINS): $(FUZZ_DIR)/%: $(FUZZ_DIR)/%.o $(FUZZ_OBJ)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(FUZZ_CFLAGS) -o $@ $^ -lm

check-fuzz: $(FUZZ_BINS)
	@sh tests/lib/run_programs.sh $(T)/counts/fuzz $^

fuzz:
	@sh tests/fuzz/long.sh $(FUZZ_DIR) $(FUZZ_NAMES)

.PHONY: check-fuzz fuzz
