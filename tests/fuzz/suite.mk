# SPDX-License-Identifier: MIT
# Fuzz targets of every function of the assessment that takes a record, and of the readers of what
# a request brings (forms and queries, JSON, lists of lines), in libFuzzer's form. They are always
# built with ASan and UBSan. check-fuzz replays the corpus and some thousand seeded
# mutations each (driver.c, any compiler); `make fuzz` runs clang's libFuzzer, FUZZ_SECONDS each.
SUITES += fuzz
FUZZ_NAMES := $(patsubst tests/fuzz/%.c,%,$(wildcard tests/fuzz/fuzz_*.c))
FUZZ_PKGS := talloc jansson libutf8proc
FUZZ_LIBS := $(shell pkg-config --libs $(FUZZ_PKGS)) -lm
# The readers and what they stand on; the rest of those layers has sockets and a database.
FUZZ_SRC := $(call src,assess) $(patsubst %,server/%.c,base/mem base/log base/log_syslog base/buf base/pointer base/text \
    base/int_list http/form http/json_body http/request store/activity_check store/scoring)
FUZZ_CFLAGS := -std=c11 -D_GNU_SOURCE -g -O1 $(WARN) -Iinclude -Itests/fuzz \
    $(shell pkg-config --cflags $(FUZZ_PKGS)) \
    -fsanitize=address,undefined -fno-sanitize-recover=undefined -fno-omit-frame-pointer
FUZZ_DIR := $(T)/fuzz
FUZZ_OBJ := $(patsubst server/%.c,$(FUZZ_DIR)/%.o,$(FUZZ_SRC)) $(FUZZ_DIR)/driver.o
FUZZ_BINS := $(addprefix $(FUZZ_DIR)/,$(FUZZ_NAMES))

$(FUZZ_DIR)/%.o: server/%.c
	@mkdir -p $(@D)
	$(Q)$(CC) $(FUZZ_CFLAGS) -MMD -MP -c $< -o $@
$(FUZZ_DIR)/%.o: tests/fuzz/%.c
	@mkdir -p $(@D)
	$(Q)$(CC) $(FUZZ_CFLAGS) -MMD -MP -c $< -o $@
$(FUZZ_BINS): $(FUZZ_DIR)/%: $(FUZZ_DIR)/%.o $(FUZZ_OBJ)
	$(if $(Q),@echo "  LD $@")
	$(Q)$(CC) $(FUZZ_CFLAGS) -o $@ $^ $(FUZZ_LIBS)

check-fuzz: $(FUZZ_BINS)
	@sh tests/lib/run_programs.sh $(T)/counts/fuzz $^

fuzz:
	@FUZZ_SRC='$(FUZZ_SRC)' FUZZ_LIBS='$(FUZZ_LIBS)' sh tests/fuzz/long.sh $(FUZZ_DIR) $(FUZZ_NAMES)

.PHONY: check-fuzz fuzz
